"""A venue's week: drawn over time, where a session could go, and as one sheet."""
