"""The database: tables, the guard against double booking, engines and migrations.

Only services open sessions. The guard refuses overlapping bookings whatever the code does.
"""

# All tables are known once any of them is.
from clubplanner.store import stand
from clubplanner.store.tables import (
    booking_tables,
    busy_tables,
    club_tables,
    ground_tables,
    link_tables,
    notice_tables,
    people_tables,
    run_tables,
    season_tables,
    squad_tables,
)

__all__ = [
    "booking_tables",
    "busy_tables",
    "club_tables",
    "ground_tables",
    "link_tables",
    "notice_tables",
    "people_tables",
    "run_tables",
    "season_tables",
    "squad_tables",
    "stand",
]
