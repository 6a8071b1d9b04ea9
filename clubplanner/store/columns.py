"""Where steps of the history that landed find the types of columns; all others ask `tables`."""

from clubplanner.store.tables.columns import Ground, Instant

__all__ = ["Ground", "Instant"]
