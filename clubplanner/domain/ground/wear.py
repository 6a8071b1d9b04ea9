"""How much grass is used, against what it bears.

Use is counted in *adult hours of the whole pitch*: a session's hours, times its part of the pitch,
times less for the young. Sport England (Natural Turf for Sport, 2011) allows about half as much
again for players of 15 and under; so their hour counts two thirds of an adult's.
"""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.ground.formats import sure_in_words
from clubplanner.domain.times.times import TimeRange, each_date

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import date
    from zoneinfo import ZoneInfo

    from clubplanner.domain.booked.bookings import Booking
    from clubplanner.domain.booked.closures import Closure
    from clubplanner.domain.ground.grounds import Pitch

YOUTH_AGE = 15
YOUTH_PERCENT = 67
"""What a minute of players of 15 and under counts, rounded: 100 / 1.5."""
MATCH_HOURS = 1.5
"""Adult hours of the whole pitch that make a training weigh like a match: 90 minutes of play, by
common practice, no source."""
MINI_AGE, OLDEST_YOUTH = 10, 18
"""Oldest age groups of the tables' "mini soccer" and "youth" (FA, from memory)."""


@dataclass(frozen=True, slots=True)
class WearLimit:
    """What a club lets a pitch bear in a week.

    Attributes:
        hours: Adult hours; None for no such limit.
        matches: Match equivalents; None for no such limit.
        source: Where the figures come from, in words.
        quality: The row of the published table by which matches of the young are weighed; blank
            to count each match as one.
    """

    hours: float | None
    matches: float | None
    source: str
    quality: str = ""


@dataclass(frozen=True, slots=True)
class Guidance:
    """A row of published guidance.

    Attributes:
        construction: How the pitch is built; blank for a row by quality.
        quality: How good it is; blank for a row by construction.
        hours: Highest adult hours a week; None in a row by quality.
        matches: Match equivalents a week of adults; None in a row by construction.
        youth_matches: The same of youth.
        mini_matches: The same of the youngest.
        standing: How sure the figures are.
        source: Where they are published.
    """

    construction: str
    quality: str
    hours: float | None
    matches: float | None
    youth_matches: float | None
    mini_matches: float | None
    standing: str
    source: str

    @property
    def words(self) -> str:
        """The source with how sure it is."""
        sure = sure_in_words(self.standing)
        return f"{self.source} ({sure})" if sure else self.source


@dataclass(frozen=True, slots=True)
class Use:
    """Bookings of one kind, taken together.

    Attributes:
        area_key: The part of the pitch.
        age: Years of the age group, or any that count the same (`counts_as`); None for adults, as
            which hirers count.
        purpose: Why; never that ground is closed.
        minutes: How long in all.
        bookings: How many.
    """

    area_key: str
    age: int | None
    purpose: Purpose
    minutes: int
    bookings: int


@dataclass(frozen=True, slots=True)
class WeekWear:
    """A pitch in one week.

    Attributes:
        monday: First date.
        hours: Adult hours of the whole pitch, as booked.
        youth_hours: Part of these that the young bring, already weighed.
        matches: Match equivalents.
        factor: Part of the limit that holds this week: closures and conditions lessen it.
    """

    monday: date
    hours: float
    youth_hours: float
    matches: float
    factor: float

    def share_of(self, limit: WearLimit) -> float | None:
        """Return use over what is allowed, the worse of hours and matches; None without a limit.

        A week in which nothing is allowed and something is booked is infinitely over.
        """
        shares = [
            _share(used, most * self.factor)
            for used, most in ((self.hours, limit.hours), (self.matches, limit.matches))
            if most is not None
        ]
        return max(shares, default=None)


def weigh_percent(age: int | None) -> int:
    """Return how much a minute of an age group counts, in percent of an adult's."""
    return YOUTH_PERCENT if age is not None and age <= YOUTH_AGE else 100


def match_weight(age: int | None, row: Guidance | None) -> float:
    """Return how much a match counts, an adults' match being one.

    Where a pitch bears three matches of adults or four of youth, one of youth counts three
    quarters.

    Args:
        age: Years of the age group; None for adults.
        row: The published row of the pitch's quality; None to count every match as one.
    """
    if row is None or row.matches is None or age is None or age > OLDEST_YOUTH:
        return 1.0
    bears = row.mini_matches if age <= MINI_AGE else row.youth_matches
    return row.matches / bears if bears else 1.0


def counts_as(age: int | None) -> int | None:
    """Return the oldest age whose hours and matches count as those of an age; None for adults."""
    if age is None:
        return None
    return next((old for old in (MINI_AGE, YOUTH_AGE, OLDEST_YOUTH) if age <= old), None)


def measure_week(
    pitch: Pitch,
    monday: date,
    uses: Iterable[Use],
    closed: Sequence[Booking],
    conditions: Sequence[Closure],
    zone: ZoneInfo,
    quality: Guidance | None = None,
) -> WeekWear:
    """Measure a pitch in one week, Monday to Sunday.

    Args:
        pitch: The pitch.
        monday: The week's first date.
        uses: What its grass is used for in that week.
        closed: What closes the pitch; other weeks are left out.
        conditions: Conditions of the ground ("half load"); other pitches are left out.
        zone: The club's time zone.
        quality: The published row by which matches of the young are weighed; None for as one.
    """
    whole_m2 = pitch.areas[0].area_m2
    hours = youth = matches = 0.0
    for use in uses:
        percent = weigh_percent(use.age)
        share = pitch.area(use.area_key).area_m2 / whole_m2
        adult = use.minutes / 60 * share * percent / 100
        hours += adult
        youth += adult if percent < 100 else 0.0
        if use.purpose is Purpose.MATCH:
            matches += match_weight(use.age, quality) * use.bookings
        else:
            matches += adult / MATCH_HOURS
    own = [one for one in conditions if one.pitch_key == pitch.key]
    if not closed and not own:
        return WeekWear(monday, hours, youth, matches, 1.0)
    week = each_date(monday, monday + timedelta(days=6))
    factors = [_day_factor(pitch, day, closed, own, zone) for day in week]
    return WeekWear(monday, hours, youth, matches, sum(factors) / len(factors))


def parse_guidance(text: str) -> tuple[Guidance, ...]:
    """Read the table of published guidance.

    Raises:
        ValueError: If a row has no source.
    """
    rows = []
    for row in csv.DictReader(io.StringIO(text)):
        if not row["source"] or not row["standing"]:
            raise ValueError(f"Guidance needs a source and a standing: {row}")
        rows.append(
            Guidance(
                construction=row["construction"],
                quality=row["quality"],
                hours=_number(row["adult_hours_high"]),
                matches=_number(row["adult_matches"]),
                youth_matches=_number(row["youth_matches"]),
                mini_matches=_number(row["mini_matches"]),
                standing=row["standing"],
                source=row["source"],
            )
        )
    return tuple(rows)


def _day_factor(
    pitch: Pitch,
    day: date,
    closed: Iterable[Booking],
    conditions: Iterable[Closure],
    zone: ZoneInfo,
) -> float:
    """Return how much of its load a pitch bears on a date: less the part that is closed.

    Closed for any part of the afternoon and evening counts as closed that day, by the part of the
    pitch that is closed: common practice, no source.
    """
    whole = pitch.areas[0].cells
    shut = 0
    factor = 1.0
    for booking in closed:
        if booking.during.starts_at.astimezone(zone).date() == day:
            shut |= booking.cells
    for one in conditions:
        if _touches(one.during, day, zone):
            factor = min(factor, one.load_factor)
    if shut & whole == whole:
        return 0.0
    open_m2 = max((a.area_m2 for a in pitch.areas if not a.cells & shut), default=0.0)
    return factor * (open_m2 / pitch.areas[0].area_m2 if shut else 1.0)


def _touches(during: TimeRange, day: date, zone: ZoneInfo) -> bool:
    first = during.starts_at.astimezone(zone).date()
    last = (during.ends_at - timedelta(seconds=1)).astimezone(zone).date()
    return first <= day <= last


def _share(used: float, most: float) -> float:
    if most > 0:
        return used / most
    return float("inf") if used > 0 else 0.0


def _number(text: str) -> float | None:
    return float(text) if text else None
