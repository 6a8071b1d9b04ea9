"""Matches: their fixtures, the ground that does, giving it, changing it, and as values."""
