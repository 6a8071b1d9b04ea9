"""The database: tables, the guard against double booking, engines and migrations.

Only services open sessions. The guard refuses overlapping bookings whatever the code does.
"""

from clubplanner.store import season_tables  # all tables are known once any of them is

__all__ = ["season_tables"]
