"""One evening shared out by who comes: its page, its search, its outcome."""
