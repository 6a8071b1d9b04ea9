"""Ground as it lies, and what fits on it."""
