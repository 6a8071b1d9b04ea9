"""One squad's season: what became of it, of its own, and one begun in the middle."""
