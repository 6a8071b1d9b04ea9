"""Sessions of a venue's days that are not where they were to be: moved, off, or elsewhere."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from clubplanner.domain.ground.ground_words import part_in_words
from clubplanner.domain.times.times import TimeRange
from clubplanner.services.showing.ground.plans import times_in_words
from clubplanner.services.showing.states.session_states import load_left, load_states
from clubplanner.services.showing.states.state_shown import StateTeller

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping, Sequence
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.domain.booked.bookings import Booking
    from clubplanner.domain.ground.grounds import Venue
    from clubplanner.services.showing.states.state_shown import StateShown


@dataclass(frozen=True, slots=True)
class MissedHere:
    """A session for which nobody comes to where it was to be.

    Attributes:
        there: The session as it was to be.
        times: Local times at which it was to be.
        holder: Whose it is.
        place: Area and pitch on which it was to be.
        state: What became of it.
    """

    there: Booking
    times: str
    holder: str
    place: str
    state: StateShown


@dataclass(frozen=True, slots=True)
class NotAsPlanned:
    """What of a venue's days is not as it was to be.

    Attributes:
        moved: From where and when what is there was moved, by booking number.
        missed: What was to be there and is not, by when it was to be.
    """

    moved: Mapping[int, StateShown] = field(default_factory=dict)
    missed: tuple[MissedHere, ...] = ()

    def on_pitches(self, keys: Collection[str]) -> NotAsPlanned:
        """Return what of it was to be on some of the venue's pitches."""
        near = tuple(one for one in self.missed if one.there.pitch_key in keys)
        return NotAsPlanned(self.moved, near)


def load_not_as_planned(
    session: Session,
    venue: Venue,
    venues: Sequence[Venue],
    bookings: Sequence[Booking],
    days: Sequence[TimeRange],
    zone: ZoneInfo,
    today: date | None,
) -> NotAsPlanned:
    """Return what of a venue's days is not as it was to be.

    Each day is told by itself, as whoever comes on that day has to hear of it: what went from one
    of them to another is missed on the first, and moved on the second.

    Args:
        session: A reading session.
        venue: The venue.
        venues: All venues of the club.
        bookings: What is at the venue on those days.
        days: The days, in order, each beginning where the one before ends; at least one.
        zone: The club's time zone.
        today: The local date of whoever reads it; None for words that may be read on any day.
    """
    pitches = {pitch.key: pitch for pitch in venue.pitches}
    left = load_left(session, TimeRange(days[0].starts_at, days[-1].ends_at))
    states = load_states(session, [*bookings, *left], venues, zone)
    teller = StateTeller(states, venues, zone, today)
    found: dict[tuple[datetime, int], MissedHere] = {}
    for there, state in (one for day in days for one in teller.missed_here(left, pitches, day)):
        pitch = pitches[there.pitch_key]
        place = part_in_words(pitch.area(there.area_key), pitch.name)
        times = times_in_words(there, zone)
        starts = there.during.starts_at, there.number  # once, though it may reach past midnight
        found[starts] = MissedHere(there, times, there.holder, place, state)
    told = ((booking.number, teller.elsewhere(booking)) for booking in bookings)
    moved = {number: shown for number, shown in told if shown is not None}
    return NotAsPlanned(moved, tuple(found[starts] for starts in sorted(found)))
