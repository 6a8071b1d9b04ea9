"""What the club lets each pitch bear in a week."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.ground.wear import WearLimit
from clubplanner.store.tables.season_tables import WearLimitRow

if TYPE_CHECKING:
    from sqlalchemy.orm import Session


def load_wear_limits(session: Session) -> dict[str, WearLimit]:
    """Return the club's limits by pitch key."""
    rows = session.scalars(select(WearLimitRow).join(WearLimitRow.pitch))
    return {
        row.pitch.key: WearLimit(row.hours, row.matches, row.source, row.quality) for row in rows
    }
