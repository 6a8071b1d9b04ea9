"""The database: tables, the guard against double booking, engines and migrations.

Only services open sessions. The guard refuses overlapping bookings whatever the code does.
"""

# All tables are known once any of them is.
from clubplanner.store import stand
from clubplanner.store.tables import (
    busy_tables,
    link_tables,
    notice_tables,
    run_tables,
    season_tables,
)

__all__ = ["busy_tables", "link_tables", "notice_tables", "run_tables", "season_tables", "stand"]
