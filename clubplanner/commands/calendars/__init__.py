"""Calendars of others."""
