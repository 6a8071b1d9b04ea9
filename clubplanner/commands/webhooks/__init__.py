"""Other programs that are told what changes."""
