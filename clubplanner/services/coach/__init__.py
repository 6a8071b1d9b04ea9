"""The coach's ground, the coming weeks, and what fits."""
