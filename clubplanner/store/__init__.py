"""The database: tables, guards, engine."""
