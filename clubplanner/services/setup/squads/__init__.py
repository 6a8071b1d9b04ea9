"""Squads and who coaches them: by form, renamed, ended, and as values."""
