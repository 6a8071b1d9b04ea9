"""The days of a venue's week: what is booked on each, and why a day is not drawn."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from clubplanner.domain.times.times import (
    TimeRange,
    clock_from_minute,
    day_and_month,
    day_in_words,
    day_month_year,
)
from clubplanner.domain.times.windows import join_windows
from clubplanner.language import _, short_weekday, weekday_in_words
from clubplanner.services.showing.choosing.venues import chosen_venue
from clubplanner.services.showing.drawn_weeks import Shown, day_shown, shown_booking
from clubplanner.services.showing.ground.plans import times_in_words

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence
    from datetime import date
    from zoneinfo import ZoneInfo

    from clubplanner.domain.booked.bookings import Booking
    from clubplanner.domain.ground.grounds import Venue


DAYS = 7


@dataclass(frozen=True, slots=True)
class WeekRow:
    """A booking in the table behind the drawing."""

    number: int
    mark: str
    times: str
    holder: str
    place: str
    purpose: str


@dataclass(frozen=True, slots=True)
class WeekDay:
    """A day of the week.

    Attributes:
        day: The local date.
        name: In words.
        short: In short, for a link.
        note: Why it is not drawn; blank where it is.
        rows: What is booked on it, by time.
    """

    day: date
    name: str
    short: str
    note: str
    rows: tuple[WeekRow, ...]


def week_in_words(monday: date) -> str:
    """Write a week as "12 Apr to 18 Apr 2027"."""
    last = monday + timedelta(days=DAYS - 1)
    return _("%(first)s to %(last)s", first=day_and_month(monday), last=day_month_year(last))


def find_venue(venues: Sequence[Venue], key: str | None) -> Venue:
    """Return the venue of a key, or the first one.

    Raises:
        MissingError: If there is no such venue, or no venue at all.
    """
    return chosen_venue(
        venues, key, _("There is no such venue; choose one from the page of the week.")
    )


def all_shown(
    bookings: Sequence[Booking], address: Callable[[Booking], str], chosen: int | None
) -> list[Shown]:
    """Return bookings as they are drawn, marked by their numbers in the table, from 1.

    Args:
        bookings: What is booked in the week.
        address: Where a booking leads; blank for nowhere.
        chosen: Number of the booking that is looked at; None for none.
    """
    return [
        shown_booking(
            booking,
            mark=str(n),
            address=address(booking),
            is_chosen=booking.number == chosen,
        )
        for n, booking in enumerate(bookings, start=1)
    ]


def days_of_week(
    venue: Venue,
    days: Sequence[date],
    ranges: Mapping[date, TimeRange],
    bookings: Sequence[Booking],
    zone: ZoneInfo,
) -> tuple[WeekDay, ...]:
    """Return the days of a week with what is booked on each.

    Args:
        venue: Where.
        days: The dates, in order.
        ranges: The hours drawn of each date that is drawn.
        bookings: What is booked, in the order of its marks; the first day has what began before.
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
        rows[day].append(WeekRow(b.number, str(n), times, b.holder, place, b.purpose.value))
    return tuple(
        WeekDay(
            day,
            day_in_words(day),
            f"{short_weekday(day.weekday())} {day.day}",
            "" if day in ranges else why_not_drawn(venue, day),
            tuple(rows[day]),
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
