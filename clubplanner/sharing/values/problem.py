"""What a share-out is asked to do: ground, days, rules and asks, as frozen values.

Times are whole minutes after local midnight, ranges are half-open: a session that ends at 1110 and
one that starts at 1110 do not meet. A day is either a weekday with all its dates of a stretch
(breaks already left out) or a single evening with one date.
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass, fields, is_dataclass, replace
from datetime import date
from fractions import Fraction
from typing import TYPE_CHECKING

from clubplanner.domain.club.spread import Evenings  # noqa: TC001 - as below
from clubplanner.sharing.values.wants import (  # noqa: TC001 - the shapes of files read them at run time
    LoadLimit,
    Pair,
    Price,
    Window,
    Wish,
)

if TYPE_CHECKING:
    from collections.abc import Collection

LEAST_MEMORY_MB, USUAL_MEMORY_MB, MOST_MEMORY_MB = 400, 2_000, 512_000
"""What a share-out may be allowed; with less its processes cannot even begin."""
TWELFTHS = 12
"""A whole pitch in twelfths: the least number that halves, thirds and quarters divide."""


@dataclass(frozen=True, slots=True)
class Ground:
    """An area that can be booked, as the share-out sees it.

    Two grounds clash exactly when they lie on the same pitch and share a cell.

    Attributes:
        key: One of a kind in the problem.
        pitch: Key of the pitch it is a part of.
        venue: Key of the venue; the same for all grounds of a pitch.
        name: As people say it: "Clubhouse third, Top pitch".
        cells: Bit mask of its cells on the pitch, not 0.
        share: Twelfths of the pitch when it belongs to a cut into equal parts, else None.
        cut: Which cut it belongs to, such as "thirds" or "drawn".
        area_m2: Size.
        share_of_pitch: Size over that of the whole pitch, above 0 and up to 1.
        surface: Such as "grass".
        has_goal: Whether a goal stands on it.
        is_lit: Whether it has floodlights.
        is_indoor: Whether it lies under a roof.
        formats: Names of the formats that it holds, such as "9v9".
    """

    key: str
    pitch: str
    venue: str
    name: str
    cells: int
    share: int | None
    cut: str
    area_m2: float
    share_of_pitch: float
    surface: str
    has_goal: bool = False
    is_lit: bool = False
    is_indoor: bool = False
    formats: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Day:
    """A day of the plan.

    Attributes:
        index: Its number; the same as its place in the problem's list.
        name: "Monday", or a date in words for a single evening.
        weekday: Monday 0 to Sunday 6.
        dates: Every date it stands for, in order, at most 63.
    """

    index: int
    name: str
    weekday: int
    dates: tuple[date, ...]


@dataclass(frozen=True, slots=True)
class Opening:
    """When a venue can be used on a day; a day without one is closed."""

    venue: str
    day: int
    start_min: int
    end_min: int


@dataclass(frozen=True, slots=True)
class Darkness:
    """When unlit outdoor ground is of no use on at least one of a day's dates.

    Attributes:
        venue: Key of the venue.
        day: Number of the day.
        from_min: From when in the evening.
        dawn_min: Until when in the morning; None where it is light from the day's beginning.
    """

    venue: str
    day: int
    from_min: int
    dawn_min: int | None = None


@dataclass(frozen=True, slots=True)
class LightsOut:
    """From when a pitch's floodlights are off; pitch None for every pitch of the venue.

    Lit outdoor ground can be used up to the later of darkness and lights out.
    """

    venue: str
    pitch: str | None
    day: int
    from_min: int


@dataclass(frozen=True, slots=True)
class Standing:
    """A booking on one date that the share-out leaves alone: a match, a hire, a closure.

    Attributes:
        pitch: Key of the pitch.
        cells: What it takes of it.
        date: When.
        start_min: First minute.
        end_min: Minute after the last.
        label: Who or what, in words.
        wear_percent: How much each minute counts against the pitch's load limit; 0 for a closure.
        needs_changeover: Whether time for changing over is kept free around it; not so for a
            closure, which nobody has to clear away.
    """

    pitch: str
    cells: int
    date: date
    start_min: int
    end_min: int
    label: str
    wear_percent: int = 0
    needs_changeover: bool = True


@dataclass(frozen=True, slots=True)
class Placement:
    """A session with its place.

    Attributes:
        ask: Key of the ask.
        session: Which of the ask's sessions, from 0.
        ground: Key of the ground.
        day: Index of the day.
        start_min: First minute.
        end_min: The minute after the last.
        lost_dates: Dates of the day on which a standing booking takes the ground, in order.
    """

    ask: str
    session: int
    ground: str
    day: int
    start_min: int
    end_min: int
    lost_dates: tuple[date, ...] = ()


@dataclass(frozen=True, slots=True)
class Ask:
    """What a squad asks for.

    Attributes:
        key: One of a kind in the problem.
        squad: Key of the squad; several asks may share it.
        squad_name: As people say it.
        coach: Who takes the sessions; a coach is never in two places. None when not known.
        sessions: How many, each on another day.
        minutes: Length of each.
        possible: A session lies wholly within one of these; touching windows count as one.
        preferred: Better times among them; empty when all are as good.
        least_m2: Least size of ground.
        least_share: Least size as a share of the ground's pitch, 0 to 1.
        least_format: A format the ground must hold, or None.
        surfaces: Surfaces that will do; empty for any.
        needs_goal: Whether a goal must stand on the ground.
        needs_light: Whether the ground must be floodlit or indoors.
        venues: Venues that will do; empty for any.
        priority: Weight of each session when not all can be placed, 1 to 9, higher first.
        pinned: Sessions the secretary has already put somewhere. What the ask says about ground,
            times, rest and evenings in a row does not bind them, nor do load limits; opening
            hours, light and other bookings do.
        latest_finish_min: Every session ends by then, as the club's table for its age says; None
            for no such rule.
        rest_days: Fewest days between two sessions of the squad; of two asks, the larger counts.
        no_day_before: Weekdays (Monday 0) on whose eve there is no session, such as match days.
        no_day_after: Weekdays on whose morrow there is no session.
        wear_percent: How much of it counts against load limits; less than 100 for young squads.
        wishes: What would be liked, by grade.
        past: Percent points by which the squad was served better than the average squad in earlier
            stretches, negative for worse; of several asks of a squad, the first one's counts.
        earliest_start_min: From Monday to Friday no session starts before then, such as the end of
            school; None for no such rule.
        most_in_a_row: On so many dates one after the other the squad trains at most; of several
            asks the smallest number counts for all of them. None for no such rule.
    """

    key: str
    squad: str
    squad_name: str
    coach: str | None
    sessions: int
    minutes: int
    possible: tuple[Window, ...]
    preferred: tuple[Window, ...] = ()
    least_m2: float = 0.0
    least_share: float = 0.0
    least_format: str | None = None
    surfaces: frozenset[str] = frozenset()
    needs_goal: bool = False
    needs_light: bool = False
    venues: frozenset[str] = frozenset()
    priority: int = 1
    pinned: tuple[Placement, ...] = ()
    latest_finish_min: int | None = None
    rest_days: int = 0
    no_day_before: frozenset[int] = frozenset()
    no_day_after: frozenset[int] = frozenset()
    wear_percent: int = 100
    wishes: tuple[Wish, ...] = ()
    past: int = 0
    earliest_start_min: int | None = None
    most_in_a_row: int | None = None


@dataclass(frozen=True, slots=True)
class Problem:
    """Everything a share-out depends on.

    Attributes:
        grounds: Bookable areas.
        days: Days in order.
        openings: When venues are open.
        darkness: When it gets dark; a venue and day without an entry never does.
        lights_out: When floodlights go off.
        standing: Bookings to leave alone.
        asks: What squads want.
        step_minutes: Sessions start on multiples of this, or at the start of a possible window.
        changeover_minutes: Kept free between two bookings of the same ground.
        travel_minutes: Kept free between a person's sessions at two venues.
        most_dates_lost: A weekly place may lose at most this part of its dates.
        loads: How much pitches may be used in a week.
        pairs: Wishes about two squads.
        prices: What ground costs; without any, cost is no aim.
        wants_compact: Whether it is an aim that pitches have no dead time between sessions.
        wants_apart: Whether it is an aim that a squad's sessions are not on neighbouring days.
        evenings: How venues' evenings should be filled; None where that is no aim.
    """

    grounds: tuple[Ground, ...]
    days: tuple[Day, ...]
    openings: tuple[Opening, ...]
    darkness: tuple[Darkness, ...] = ()
    lights_out: tuple[LightsOut, ...] = ()
    standing: tuple[Standing, ...] = ()
    asks: tuple[Ask, ...] = ()
    step_minutes: int = 15
    changeover_minutes: int = 0
    travel_minutes: int = 30
    most_dates_lost: Fraction = Fraction(1, 4)
    loads: tuple[LoadLimit, ...] = ()
    pairs: tuple[Pair, ...] = ()
    prices: tuple[Price, ...] = ()
    wants_compact: bool = False
    wants_apart: bool = False
    evenings: Evenings | None = None


@dataclass(frozen=True, slots=True)
class Effort:
    """How hard to try.

    Attributes:
        seconds: About how long; the search is held by a count of its steps, so that one worker
            gives the same plan each time, and by the clock at one and a half times this.
        workers: Searches side by side. With more than one, results may differ from run to run.
        seed: Start of the search's own random numbers.
        memory_mb: How much memory it may have with all its processes, in MB of 2²⁰ bytes; what
            would need more is shared out in parts.
    """

    seconds: float = 20.0
    workers: int = 1
    seed: int = 1
    memory_mb: int = USUAL_MEMORY_MB


_ADDED_LATER = {
    "earliest_start_min": None,
    "most_in_a_row": None,
    "needs_changeover": True,
    "ground": None,
    "day": None,
    "from_min": None,
    "until_min": None,
    "dawn_min": None,
    "for_floodlights": False,
    "wants_apart": False,
    "evenings": None,
}
"""Fields, with their defaults, that a digest tells of only where they are given, so that results
from before there were such fields still belong to their problems."""


def digest(problem: Problem) -> str:
    """Return a short text that is the same exactly for equal problems."""
    text = json.dumps(_as_given(plain(problem)), sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def _as_given(value: object) -> object:
    """Leave out of plain values the fields that came later and are not given."""
    if isinstance(value, dict):
        is_absent = {n for n, usual in _ADDED_LATER.items() if n in value and value[n] is usual}
        return {name: _as_given(item) for name, item in value.items() if name not in is_absent}
    return [_as_given(item) for item in value] if isinstance(value, list) else value


def plain(value: object) -> object:
    """Turn a value of this module into lists, dicts and texts, the same whatever the hash seed."""
    if is_dataclass(value) and not isinstance(value, type):
        return {field.name: plain(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, frozenset):
        return sorted(str(item) for item in value)
    if isinstance(value, tuple):
        return [plain(item) for item in value]
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Fraction):
        return f"{value.numerator}/{value.denominator}"
    return value


def on_pitches(problem: Problem, pitches: Collection[str]) -> Problem:
    """Return a problem with the ground of some pitches, and what is said of it and its venues.

    Args:
        problem: The whole.
        pitches: Keys of the pitches that stay.
    """
    grounds = tuple(ground for ground in problem.grounds if ground.pitch in pitches)
    venues = {ground.venue for ground in grounds}
    keys = {ground.key for ground in grounds}
    return replace(
        problem,
        grounds=grounds,
        openings=tuple(one for one in problem.openings if one.venue in venues),
        darkness=tuple(one for one in problem.darkness if one.venue in venues),
        lights_out=tuple(one for one in problem.lights_out if one.venue in venues),
        standing=tuple(one for one in problem.standing if one.pitch in pitches),
        loads=tuple(one for one in problem.loads if one.pitch in pitches),
        prices=tuple(
            price
            for price in problem.prices
            if price.venue in venues
            and (price.pitch is None or price.pitch in pitches)
            and (price.ground is None or price.ground in keys)
        ),
    )


def merge_ranges(ranges: list[tuple[int, int]]) -> list[tuple[int, int]]:
    """Join half-open ranges that touch or overlap; the result is in order."""
    merged: list[tuple[int, int]] = []
    for start, end in sorted(ranges):
        if merged and start <= merged[-1][1]:
            merged[-1] = (merged[-1][0], max(end, merged[-1][1]))
        else:
            merged.append((start, end))
    return merged
