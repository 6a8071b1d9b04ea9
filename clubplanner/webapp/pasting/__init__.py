"""Pages that take in tables as clubs have them."""
