"""The days of a venue's week: what is booked on each, and why a day is not drawn."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from clubplanner.domain.times.times import (
    MINUTES_A_DAY,
    TimeRange,
    clock_from_minute,
    day_and_month,
    day_in_words,
    day_month_year,
    range_from_wall,
)
from clubplanner.domain.times.windows import join_windows
from clubplanner.language import _, short_weekday, weekday_in_words
from clubplanner.services.showing.choosing.venues import chosen_venue
from clubplanner.services.showing.drawn_weeks import day_shown
from clubplanner.services.showing.ground.plans import times_in_words

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date
    from zoneinfo import ZoneInfo

    from clubplanner.domain.booked.bookings import Booking
    from clubplanner.domain.ground.grounds import Venue
    from clubplanner.services.evening.missed import MissedHere, NotAsPlanned
    from clubplanner.services.showing.states.state_shown import StateShown

DAYS = 7


@dataclass(frozen=True, slots=True)
class WeekRow:
    """A booking in the table behind the drawing; `state` tells from where it was moved, if so."""

    number: int
    mark: str
    times: str
    holder: str
    place: str
    purpose: str
    state: StateShown | None = None

    @property
    def line(self) -> str:
        """The row as a sentence."""
        told = f" ({self.state.line})" if self.state else ""
        return f"{self.times} {self.holder}, {self.place}{told}"


@dataclass(frozen=True, slots=True)
class WeekDay:
    """A day of the week.

    Attributes:
        day: The local date.
        name: In words.
        short: In short, for a link.
        note: Why it is not drawn; blank where it is.
        rows: What is booked on it, by time.
        missed: What was to be there on it and is not, by when it was to be.
    """

    day: date
    name: str
    short: str
    note: str
    rows: tuple[WeekRow, ...]
    missed: tuple[MissedHere, ...] = ()

    @property
    def lines(self) -> tuple[str, ...]:
        """All there is on it, a sentence each; what is off or elsewhere comes last."""
        gone = (f"{m.times} {m.holder}, {m.place}: {m.state.line}" for m in self.missed)
        return (*(row.line for row in self.rows), *gone)


def week_in_words(monday: date) -> str:
    """Write a week as "12 Apr to 18 Apr 2027"."""
    last = monday + timedelta(days=DAYS - 1)
    return _("%(first)s to %(last)s", first=day_and_month(monday), last=day_month_year(last))


def spans_of_week(monday: date, zone: ZoneInfo) -> tuple[TimeRange, ...]:
    """Return the seven days of a week from midnight to midnight, local time."""
    days = (monday + timedelta(days=n) for n in range(DAYS))
    return tuple(range_from_wall(day, 0, MINUTES_A_DAY, zone) for day in days)


def find_venue(venues: Sequence[Venue], key: str | None) -> Venue:
    """Return the venue of a key, or the first one.

    Raises:
        MissingError: If there is no such venue, or no venue at all.
    """
    return chosen_venue(
        venues, key, _("There is no such venue; choose one from the page of the week.")
    )


def days_of_week(
    venue: Venue,
    days: Sequence[date],
    ranges: Mapping[date, TimeRange],
    bookings: Sequence[Booking],
    otherwise: NotAsPlanned,
    zone: ZoneInfo,
) -> tuple[WeekDay, ...]:
    """Return the days of a week with what is booked on each.

    Args:
        venue: Where.
        days: The dates, in order.
        ranges: The hours drawn of each date that is drawn.
        bookings: What is booked, in the order of its marks; the first day has what began before.
        otherwise: What of the week is not as it was to be.
        zone: The club's time zone.
    """
    places = {
        (pitch.key, area.key): area.name
        if pitch.name in area.name
        else f"{area.name}, {pitch.name}"
        for pitch in venue.pitches
        for area in pitch.areas
    }
    rows: dict[date, list[WeekRow]] = {day: [] for day in days}
    for n, b in enumerate(bookings, start=1):
        day = max(day_shown(b.during, zone), days[0])
        place = places[b.pitch_key, b.area_key]
        times = times_in_words(b, zone)
        state = otherwise.moved.get(b.number)
        rows[day].append(WeekRow(b.number, str(n), times, b.holder, place, b.purpose.value, state))
    missed: dict[date, list[MissedHere]] = {day: [] for day in days}
    for one in otherwise.missed:
        missed[max(day_shown(one.there.during, zone), days[0])].append(one)
    return tuple(
        WeekDay(
            day,
            day_in_words(day),
            f"{short_weekday(day.weekday())} {day.day}",
            "" if day in ranges else why_not_drawn(venue, day),
            tuple(rows[day]),
            tuple(missed[day]),
        )
        for day in days
    )


def why_not_drawn(venue: Venue, day: date) -> str:
    """Say why a date is not drawn: the venue is not open, or nothing is booked."""
    windows = [w for w in join_windows(venue.opening) if w.weekday == day.weekday()]
    if not windows:
        return _("%(day)s: not open.", day=weekday_in_words(day.weekday()))
    hours = ", ".join(
        f"{clock_from_minute(w.start_min)}–{clock_from_minute(w.end_min)}" for w in windows
    )
    return _(
        "%(day)s: nothing is booked, open %(hours)s.",
        day=weekday_in_words(day.weekday()),
        hours=hours,
    )
