"""An hour within a day that a pitch is free, whatever day and time it is."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

if TYPE_CHECKING:
    from pathlib import Path

LONDON = ZoneInfo("Europe/London")
HOUR_S = 3600


def free_hour_soon(folder: Path, pitch: str) -> tuple[str, str, str]:
    """Return date, start and end, as they are typed, of an hour that nobody holds the pitch in.

    It begins two to 22 hours from now, and not in the small hours of a night.
    """
    with closing(sqlite3.connect(folder / "clubplanner.sqlite")) as connection:
        query = (
            "SELECT starts_at, ends_at FROM booking JOIN pitch ON pitch.id = pitch_id"
            " WHERE pitch.name = ? AND NOT is_withdrawn"
        )
        held = connection.execute(query, (pitch,)).fetchall()
    now = datetime.now(UTC).replace(minute=0, second=0, microsecond=0)
    for hours in range(3, 23):
        start = now + timedelta(hours=hours)
        from_s, local = start.timestamp(), start.astimezone(LONDON)
        is_held = any(a < from_s + HOUR_S and b > from_s for a, b in held)
        if 4 <= local.hour <= 22 and not is_held:
            return str(local.date()), f"{local.hour:02}:00", f"{local.hour + 1:02}:00"
    raise AssertionError(f"{pitch} is held for a day")
