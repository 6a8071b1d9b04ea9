"""Notes of changes made into mails, and what of a session was told last."""
