"""Sessions that were to be on a venue's ground on a day, and are off or elsewhere."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.domain.ground.ground_words import part_in_words
from clubplanner.services.showing.ground.plans import times_in_words
from clubplanner.services.showing.states.session_states import load_left, load_states
from clubplanner.services.showing.states.state_shown import StateTeller

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.domain.ground.grounds import Venue
    from clubplanner.domain.times.times import TimeRange
    from clubplanner.services.showing.states.state_shown import StateShown


@dataclass(frozen=True, slots=True)
class MissedHere:
    """A session for which nobody comes to where it was to be.

    Attributes:
        times: Local times at which it was to be.
        holder: Whose it is.
        place: Area and pitch on which it was to be.
        state: What became of it.
    """

    times: str
    holder: str
    place: str
    state: StateShown


def load_missed(
    session: Session,
    venue: Venue,
    venues: Sequence[Venue],
    during: TimeRange,
    zone: ZoneInfo,
    today: date | None,
) -> tuple[MissedHere, ...]:
    """Return what was to be at a venue within a range and is not, by when it was to be."""
    pitches = {pitch.key: pitch for pitch in venue.pitches}
    left = load_left(session, during)
    teller = StateTeller(load_states(session, left, venues, zone), venues, zone, today)
    found = []
    for there, state in teller.missed_here(left, pitches, during):
        pitch = pitches[there.pitch_key]
        place = part_in_words(pitch.area(there.area_key), pitch.name)
        times = times_in_words(there, zone)
        starts = there.during.starts_at, there.number
        found.append((starts, MissedHere(times, there.holder, place, state)))
    return tuple(one for _starts, one in sorted(found, key=lambda each: each[0]))
