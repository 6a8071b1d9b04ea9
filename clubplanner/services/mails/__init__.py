"""Mails about changes: gathered, delivered, listed, turned off."""
