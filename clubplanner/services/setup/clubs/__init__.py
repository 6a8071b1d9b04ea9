"""Clubs within the record: whose squads are whose, as a page and as a table."""
