"""Venues and pitches: by form, by file, by kind, traced, and written as rows."""
