"""Who may come in, and who coaches."""
