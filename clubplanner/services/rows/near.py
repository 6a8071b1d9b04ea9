"""What is near enough to be looked at in a club with more ground than one page shows."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import func, select, true

from clubplanner.store.tables.ground_tables import PitchRow, VenueRow

if TYPE_CHECKING:
    from sqlalchemy import ColumnElement
    from sqlalchemy.orm import Session

MOST_TOGETHER = 20
"""Up to so many pitches are looked at together, wherever they lie."""


def is_spread(session: Session) -> bool:
    """Tell whether the club has more ground than is looked at together, at several venues."""
    pitches, venues = session.execute(
        select(func.count(PitchRow.id), func.count(PitchRow.venue_id.distinct()))
    ).one()
    return bool(pitches > MOST_TOGETHER and venues > 1)


def near(session: Session, venue_key: str, pitch_id: ColumnElement[int]) -> ColumnElement[bool]:
    """Return a condition: on any pitch, or where the club is spread on one of the same venue.

    Args:
        session: An open session.
        venue_key: The venue.
        pitch_id: The column with the number of the pitch.
    """
    if not is_spread(session):
        return true()
    own = select(PitchRow.id).join(PitchRow.venue).where(VenueRow.key == venue_key)
    return pitch_id.in_(own)
