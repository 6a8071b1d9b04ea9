"""The words that are told, and their translations."""
