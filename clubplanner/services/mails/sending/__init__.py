"""Mails handed over to the mail server: tried again, held back while it refuses, turned off."""
