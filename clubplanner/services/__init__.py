"""The use cases: one function, one transaction."""
