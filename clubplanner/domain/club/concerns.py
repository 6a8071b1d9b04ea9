"""What a season has in store: problems of the coming weeks, and the rules that find some."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import timedelta
from enum import StrEnum
from typing import TYPE_CHECKING

from clubplanner.domain.booked.bookings import Booking, Purpose
from clubplanner.language import marked

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from datetime import date
    from zoneinfo import ZoneInfo

    from clubplanner.domain.times.year import SquadSeason


class ConcernKind(StrEnum):
    """What sort of problem it is, in the order in which a person would look."""

    TWO_PLACES = marked("a coach or squad in two places")
    NO_GROUND = marked("matches without ground")
    DARK = marked("ends in the dark")
    NO_SESSION = marked("squads without a session")
    WORN = marked("grass over its limit")
    UNDECIDED = marked("breaks not entered")
    IN_BREAK = marked("training in a break")


@dataclass(frozen=True, slots=True)
class Concern:
    """One problem.

    Attributes:
        kind: What sort.
        day: The first date it matters.
        words: What is wrong, a sentence.
        remedy: What to do about it, a sentence.
        target: What a page links to: "season.light", or "desk.evening 2026-11-25 marsh-lane".
    """

    kind: ConcernKind
    day: date
    words: str
    remedy: str
    target: str


@dataclass(frozen=True, slots=True)
class TwoPlaces:
    """Two bookings that one person cannot both attend.

    Attributes:
        who: The coach's name, or the squad's for a squad booked twice.
        first: The earlier one.
        second: The later one.
        is_travel: Whether they do not overlap, but leave too little time for the way.
    """

    who: str
    first: Booking
    second: Booking
    is_travel: bool


def find_two_places(
    bookings: Iterable[Booking],
    coaches: Mapping[str, str],
    venue_of: Mapping[str, str],
    travel_minutes: int,
) -> tuple[TwoPlaces, ...]:
    """Find where a coach or squad would have to be in two places.

    Training that several squads of one coach have on the same ground at the same time is no fault.

    Args:
        bookings: Bookings, closures among them or not.
        coaches: Squad key → coach as written; blank when not known.
        venue_of: Pitch key → venue key.
        travel_minutes: What the way from one venue to another takes.
    """
    by_person: dict[str, list[Booking]] = defaultdict(list)
    names: dict[str, str] = {}
    for booking in sorted(bookings, key=lambda b: (b.during.starts_at, b.number)):
        if booking.squad_key is None or booking.purpose is Purpose.CLOSED or booking.is_withdrawn:
            continue
        coach = coaches.get(booking.squad_key, "").strip()
        person = coach.casefold() or f"squad {booking.squad_key}"
        names.setdefault(person, coach or booking.holder)
        by_person[person].append(booking)
    found = []
    for person, own in by_person.items():
        for first, second in _near(own):
            gap = timedelta(0)
            if venue_of.get(first.pitch_key) != venue_of.get(second.pitch_key):
                gap = timedelta(minutes=travel_minutes)
            if second.during.starts_at >= first.during.ends_at + gap:
                continue
            same_ground = (first.pitch_key, first.area_key) == (second.pitch_key, second.area_key)
            if same_ground and first.squad_key != second.squad_key:
                continue
            overlaps = first.during.overlaps(second.during)
            who = first.holder if first.squad_key == second.squad_key else names[person]
            found.append(TwoPlaces(who, first, second, not overlaps))
    return tuple(sorted(found, key=lambda two: two.first.during.starts_at))


def _near(own: Sequence[Booking]) -> Iterable[tuple[Booking, Booking]]:
    """Yield pairs that may be too near: neighbours in time, and whatever a long one covers."""
    for n, first in enumerate(own):
        for second in own[n + 1 :]:
            yield first, second
            if second.during.starts_at - first.during.ends_at > timedelta(hours=4):
                break


def weeks_without(
    squads: Mapping[str, SquadSeason],
    bookings: Iterable[Booking],
    training: Sequence[date],
    zone: ZoneInfo,
) -> dict[str, list[date]]:
    """Find the weeks in which a squad that trains has no session.

    Args:
        squads: Key → own season, of the squads that ask for sessions.
        bookings: Bookings of these weeks.
        training: Training dates looked at, breaks left out, in order.
        zone: The club's time zone.

    Returns:
        Squad key → Mondays of the weeks with training dates but no session of the squad; squads
        with a session in each are left out.
    """
    have: dict[str, set[date]] = defaultdict(set)
    for booking in bookings:
        if booking.squad_key and booking.purpose is Purpose.TRAINING and not booking.is_withdrawn:
            have[booking.squad_key].add(monday_of(booking.during.starts_at.astimezone(zone).date()))
    found: dict[str, list[date]] = {}
    for key, season in squads.items():
        weeks = list(dict.fromkeys(monday_of(day) for day in training if season.has(day)))
        missing = [monday for monday in weeks if monday not in have[key]]
        if missing:
            found[key] = missing
    return found


def monday_of(day: date) -> date:
    """Return the Monday of a date's week."""
    return day - timedelta(days=day.weekday())


def runs_of_weeks(mondays: Sequence[date]) -> list[tuple[date, date]]:
    """Put weeks that follow one another together: first and last Monday of each run.

    Args:
        mondays: In order.
    """
    runs: list[tuple[date, date]] = []
    for monday in mondays:
        if runs and runs[-1][1] + timedelta(days=7) == monday:
            runs[-1] = (runs[-1][0], monday)
        else:
            runs.append((monday, monday))
    return runs
