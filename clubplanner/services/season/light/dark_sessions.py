"""Which sessions to come begin or end in the dark: by columns alone, as they are few of many."""

from __future__ import annotations

from contextlib import closing
from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.rules.times.light import may_be_dark, usable_from, usable_until
from clubplanner.domain.times.times import MINUTES_A_DAY, instant_from_wall
from clubplanner.services.rows.snapshot import load_zone
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.ground_tables import PitchRow
from clubplanner.store.tables.season_tables import FixtureRow

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import date, datetime

    from sqlalchemy.orm import Session

    from clubplanner.domain.ground.grounds import Venue

AT_ONCE = 500


@dataclass(frozen=True, slots=True)
class DarkSession:
    """A training, match or hire that begins or ends in the dark.

    Attributes:
        number: The booking.
        day: The local date.
        until: Until when its pitch is of use that day, if it ends after that; None otherwise.
        dawn: From when its pitch is of use that day, if it begins before that; None otherwise.
    """

    number: int
    day: date
    until: datetime | None
    dawn: datetime | None


def find_dark_sessions(
    session: Session, venues: Sequence[Venue], first: date, last: date, now: datetime
) -> Iterator[DarkSession]:
    """Yield what begins or ends in the dark and is to come, by start; who stops reads no further.

    A match has to be over in the light, not cleared away.

    Args:
        session: An open session.
        venues: All venues.
        first: First local date.
        last: Last date, included.
        now: The present instant.
    """
    zone = load_zone(session)
    ground = {
        pitch.key: (pitch, venue)
        for venue in venues
        for pitch in venue.pitches
        if may_be_dark(pitch, venue)
    }
    if not ground:
        return
    known: dict[tuple[str, date], tuple[datetime | None, datetime | None]] = {}
    query = (
        select(
            BookingRow.id,
            PitchRow.key,
            BookingRow.starts_at,
            BookingRow.ends_at,
            FixtureRow.after_minutes,
        )
        .join(PitchRow, PitchRow.id == BookingRow.pitch_id)
        .outerjoin(FixtureRow, FixtureRow.booking_id == BookingRow.id)
        .where(
            BookingRow.starts_at > now,
            BookingRow.starts_at >= instant_from_wall(first, 0, zone),
            BookingRow.starts_at < instant_from_wall(last, MINUTES_A_DAY, zone),
            BookingRow.is_withdrawn.is_(False),
            BookingRow.purpose != Purpose.CLOSED,
            PitchRow.key.in_(ground),
        )
        .order_by(BookingRow.starts_at, BookingRow.id)
        .execution_options(yield_per=AT_ONCE)
    )
    with closing(session.execute(query)) as rows:  # whoever needs the first reads no more
        for number, pitch_key, starts_at, ends_at, after in rows:
            day = starts_at.astimezone(zone).date()
            if (pitch_key, day) not in known:
                here = *ground[pitch_key], day, zone
                known[pitch_key, day] = usable_until(*here), usable_from(*here)
            until, dawn = known[pitch_key, day]
            is_late = until is not None and ends_at - timedelta(minutes=after or 0) > until
            is_early = dawn is not None and starts_at < dawn
            if is_late or is_early:
                yield DarkSession(number, day, until if is_late else None,
                                  dawn if is_early else None)  # fmt: skip
