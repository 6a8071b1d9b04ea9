"""Calendars of others, read as busy times."""
