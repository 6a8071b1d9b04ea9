"""The coach's start page, and a squad's ground behind its address."""
