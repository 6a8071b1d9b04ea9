"""Mails: their words, headers and whole messages."""
