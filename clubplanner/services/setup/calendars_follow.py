"""When ground or a squad gets another name, calendars of what is booked have to take it.

Names are looked up wherever a booking is shown; what is left to do is to count a change, so that
calendar programs do not keep the event as they know it. Nobody is written to for it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.services.rows.bookings.counting import count_bookings
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.ground_tables import AreaRow, PitchRow
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import datetime

    from sqlalchemy.orm import Session


def places_shown(session: Session) -> dict[int, tuple[object, ...]]:
    """Return what calendars say of each area: names, address, ends, and the like."""
    rows = session.execute(
        select(AreaRow, PitchRow).join(PitchRow, AreaRow.pitch_id == PitchRow.id)
    ).all()
    return {
        area.id: (
            area.name,
            pitch.name,
            pitch.surface,
            tuple(sorted(pitch.edges.items())),
            tuple(pitch.entrance or ()),
            pitch.venue.name,
            pitch.venue.address,
            pitch.venue.way_in,
            pitch.venue.parking,
        )
        for area, pitch in rows
    }


def count_renamed_ground(
    session: Session, before: dict[int, tuple[object, ...]], now: datetime
) -> int:
    """Count a change of every booking to come whose ground is told of in other words now.

    Args:
        session: The open write session.
        before: What `places_shown` gave before the change.
        now: The present instant.

    Returns:
        How many bookings.
    """
    session.flush()
    after = places_shown(session)
    changed = [number for number, words in before.items() if after.get(number, words) != words]
    if not changed:
        return 0
    return count_bookings(session, BookingRow.area_id.in_(changed), now)


def squad_names(session: Session) -> dict[int, str]:
    """Return what each squad is called, by its number."""
    return {row.id: row.name for row in session.execute(select(SquadRow.id, SquadRow.name))}


def count_renamed_squads(session: Session, before: Mapping[int, str], now: datetime) -> int:
    """Count a change of every booking to come of a squad that is called otherwise now.

    Args:
        session: The open write session.
        before: What `squad_names` gave before the change.
        now: The present instant.

    Returns:
        How many bookings.
    """
    session.flush()
    after = squad_names(session)
    renamed = [number for number, name in before.items() if after.get(number, name) != name]
    return count_bookings(session, BookingRow.squad_id.in_(renamed), now) if renamed else 0
