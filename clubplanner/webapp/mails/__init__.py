"""Pages about mails."""
