"""Rules about where."""
