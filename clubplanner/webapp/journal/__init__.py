"""The list of changes."""
