"""Loading a club's day for finding places, and what each session needs."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.times.times import MINUTES_A_DAY, range_from_wall
from clubplanner.services.places.places import Need, Scene, ask_for
from clubplanner.services.rows.own_sizes import load_formats
from clubplanner.services.rows.snapshot import (
    load_asks,
    load_bookings,
    load_club,
    load_squads,
    load_venues,
)
from clubplanner.store.tables.ground_tables import AreaRow, PitchRow

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date, datetime

    from sqlalchemy.orm import Session

    from clubplanner.domain.booked.bookings import Booking
    from clubplanner.domain.club.squads import Ask, Squad

LATER = timedelta(minutes=60)
"""How much later than planned a displaced session may start the same evening."""


def load_scene(session: Session, day: date) -> Scene:
    """Load the club as it stands on a local date."""
    club = load_club(session)
    squads = load_squads(session)
    areas = session.execute(select(PitchRow.key, AreaRow.key, AreaRow.id).join(AreaRow.pitch))
    return Scene(
        club=club,
        venues=load_venues(session),
        bookings=load_bookings(session, range_from_wall(day, 0, MINUTES_A_DAY, club.time_zone)),
        coaches={squad.key: squad.coach.strip().casefold() for squad in squads},
        area_ids={(pitch, area): number for pitch, area, number in areas},
        formats=load_formats(session),
    )


def load_people(session: Session) -> tuple[dict[str, Squad], list[Ask]]:
    """Return all squads by key, and all asks."""
    squads = {squad.key: squad for squad in load_squads(session)}
    return squads, [ask for _, ask in load_asks(session)]


def need_of(
    booking: Booking,
    squads: dict[str, Squad],
    asks: Sequence[Ask],
    now: datetime,
    *,
    earlier: timedelta = timedelta(0),
    later: timedelta = LATER,
) -> Need:
    """Return what a booking needs if it has to go elsewhere.

    A match keeps its time, for others come to it, and needs a field like its own; what its squad
    asked for is about training.

    Args:
        booking: The booking as it stands.
        squads: All squads by key.
        asks: All asks.
        now: The present instant; nothing starts before it.
        earlier: How much earlier it may start.
        later: How much later it may start.
    """
    start = booking.during.starts_at
    is_match = booking.purpose is Purpose.MATCH
    if is_match:
        earlier = later = timedelta(0)
    return Need(
        booking=booking,
        ask=None if is_match else ask_for(booking, asks),
        squad=squads.get(booking.squad_key or ""),
        earliest=max(now, start - earlier),
        latest=start + later,
    )
