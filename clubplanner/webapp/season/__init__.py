"""Pages of the running season."""
