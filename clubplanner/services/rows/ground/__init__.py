"""Rows of ground as frozen values, what it may bear, and the sizes that games have."""
