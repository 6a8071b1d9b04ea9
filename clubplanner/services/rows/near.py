"""What is near enough to be looked at in a club with more ground than one page shows."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import func, select, true

from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.ground_tables import PitchRow, VenueRow
from clubplanner.store.tables.within_tables import SquadClubRow

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


def usual_venue(session: Session, squad_id: int) -> str:
    """Return the key of the venue at which a squad is most often; blank without any.

    Where it was nowhere yet it is that of its club within the record, else the first that there is.
    """
    club = select(SquadClubRow.club_id).where(SquadClubRow.squad_id == squad_id)
    mates = select(SquadClubRow.squad_id).where(SquadClubRow.club_id.in_(club))
    for whose in (BookingRow.squad_id == squad_id, BookingRow.squad_id.in_(mates)):
        found = session.scalars(
            select(VenueRow.key)
            .join(PitchRow, PitchRow.venue_id == VenueRow.id)
            .join(BookingRow, BookingRow.pitch_id == PitchRow.id)
            .where(whose, BookingRow.is_withdrawn.is_(False))
            .group_by(VenueRow.id, VenueRow.key)
            .order_by(func.count(BookingRow.id).desc(), VenueRow.id)
        ).first()
        if found:
            return found
    first = select(VenueRow.key).where(VenueRow.pitches.any())
    return session.scalars(first.order_by(VenueRow.position, VenueRow.id)).first() or ""
