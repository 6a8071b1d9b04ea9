"""A venue's week: drawn over time, the table behind it, and where a session could go."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from clubplanner.domain.booked.bookings import Booking, Purpose
from clubplanner.domain.times.times import TimeRange
from clubplanner.outputs.charts.weeks.week_chart import draw_week
from clubplanner.outputs.charts.weeks.week_values import NARROW, SCREEN, WIDE_EVENING
from clubplanner.services.evening.drawn_days import all_shown
from clubplanner.services.evening.missed import NotAsPlanned, load_not_as_planned
from clubplanner.services.evening.weeks.chosen import ChosenSession, chosen_session
from clubplanner.services.evening.weeks.days import (
    DAYS,
    WeekDay,
    days_of_week,
    find_venue,
    spans_of_week,
    week_in_words,
)
from clubplanner.services.rows.snapshot import load_bookings, load_club, load_venues
from clubplanner.services.showing.choosing.choices import Choice
from clubplanner.services.showing.drawn_weeks import day_shown, draw_shown, drawn_ranges
from clubplanner.store.tables.booking_tables import BookingRow

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.domain.ground.grounds import Pitch, Venue
    from clubplanner.outputs.charts.weeks.week_values import Form
    from clubplanner.services.evening.weeks.offers import Offer
    from clubplanner.store.engine import Store

PITCHES = 4
"""Pitches of one leaf: more would not be seen at once."""


@dataclass(frozen=True, slots=True)
class WeekPage:
    """What the page of a week shows.

    Attributes:
        venue: The venue.
        venues: All of them.
        pitches: Names of all its pitches; a leaf of them is drawn.
        monday: First date of the week.
        words: The week in words.
        days: Its days.
        pitch: Number of the first pitch drawn, from 0.
        day: The only day that is drawn; None for all.
        near: The day of the narrow drawing.
        drawing: SVG; blank where there is nothing to draw it on.
        narrow: One evening for a narrow screen, SVG; blank likewise.
        chosen: The session looked at; None for none.
    """

    venue: Choice
    venues: tuple[Choice, ...]
    pitches: tuple[str, ...]
    monday: date
    words: str
    days: tuple[WeekDay, ...]
    pitch: int
    day: date | None
    near: date
    drawing: str
    narrow: str
    chosen: ChosenSession | None = None


@dataclass(frozen=True, slots=True)
class WeekWish:
    """Which part of which week is looked at.

    Attributes:
        venue_key: Which venue; None for the first.
        monday: First date of the week.
        day: Only this day; None for all.
        pitch: Number of the first pitch drawn, from 0.
        chosen: Number of a booking that is looked at, whose venue, week and pitch are then shown,
            whatever else is said; None for none.
    """

    venue_key: str | None
    monday: date
    day: date | None = None
    pitch: int = 0
    chosen: int | None = None


def monday_of(day: date) -> date:
    """Return the Monday of a date's week."""
    return day - timedelta(days=day.weekday())


def see_week(
    store: Store,
    wish: WeekWish,
    now: datetime,
    address: Callable[[Booking], str],
    place_address: Callable[[Offer], str] | None = None,
) -> WeekPage:
    """Show a venue's week.

    Args:
        store: The database.
        wish: Which part of which week.
        now: The present instant.
        address: Where a booking leads on the drawing; blank for nowhere.
        place_address: Where a place leads at which the chosen session could be; None where nothing
            can be chosen.

    Raises:
        MissingError: If there is no such venue, or no venue at all.
    """
    with store.read() as session:
        read = _read(session, wish, now, may_choose=place_address is not None)
    wish, venue, chosen = read.wish, read.venue, read.chosen
    days = tuple(wish.monday + timedelta(days=n) for n in range(DAYS))
    shown = all_shown(read.bookings, read.otherwise, address, wish.chosen)
    if chosen is not None and place_address is not None:
        shown += [offer.shown(place_address(offer)) for offer in chosen.offers]
    ranges = drawn_ranges(venue, days, shown, read.zone)
    today = now.astimezone(read.zone).date()
    near = wish.day or _near_day(days, ranges, today, read.bookings, read.zone)

    def drawn(only: date | None, form: Form) -> str:
        part = {only: ranges[only]} if only in ranges else {} if only else ranges
        week = draw_shown(venue, read.pitches, part, shown, read.zone, today, venue.name)
        return "" if week is None else draw_week(week, form)

    return WeekPage(
        venue=Choice(venue.key, venue.name),
        venues=tuple(Choice(v.key, v.name) for v in read.venues),
        pitches=tuple(pitch.name for pitch in venue.pitches),
        monday=wish.monday,
        words=week_in_words(wish.monday),
        days=days_of_week(venue, days, ranges, read.bookings, read.otherwise, read.zone),
        pitch=venue.pitches.index(read.pitches[0]) if read.pitches else 0,
        day=wish.day,
        near=near,
        drawing=drawn(wish.day, WIDE_EVENING if wish.day else SCREEN),
        narrow=drawn(near, NARROW),
        chosen=chosen,
    )


@dataclass(frozen=True, slots=True)
class _Read:
    """What the records say of the part of a week that is looked at."""

    wish: WeekWish
    zone: ZoneInfo
    venues: tuple[Venue, ...]
    venue: Venue
    pitches: tuple[Pitch, ...]
    bookings: tuple[Booking, ...]
    otherwise: NotAsPlanned
    chosen: ChosenSession | None


def _read(session: Session, wish: WeekWish, now: datetime, *, may_choose: bool) -> _Read:
    """Read a leaf of a venue's week, that of the chosen booking where one may be chosen."""
    zone = load_club(session).time_zone
    venues = load_venues(session)
    may_choose = may_choose and wish.chosen is not None
    if may_choose:
        wish = _round_chosen(session, wish, venues, zone)
    venue = find_venue(venues, wish.venue_key)
    spans = spans_of_week(wish.monday, zone)
    during = TimeRange(spans[0].starts_at, spans[-1].ends_at)
    pitches = leaf_of(venue, wish.pitch)
    keys = {pitch.key for pitch in pitches}
    bookings = tuple(b for b in load_bookings(session, during) if b.pitch_key in keys)
    chosen = None
    if may_choose and wish.chosen is not None:
        chosen = chosen_session(session, bookings, pitches, wish.chosen, wish.monday, zone, now)
    today = now.astimezone(zone).date()
    otherwise = load_not_as_planned(session, venue, venues, bookings, spans, zone, today)
    return _Read(wish, zone, venues, venue, pitches, bookings, otherwise.on_pitches(keys), chosen)


def leaf_of(venue: Venue, first: int) -> tuple[Pitch, ...]:
    """Return the pitches of one leaf: that on which one of a number, from 0, stands."""
    start = min(max(0, first), max(0, len(venue.pitches) - 1)) // PITCHES * PITCHES
    return venue.pitches[start : start + PITCHES]


def _round_chosen(
    session: Session, wish: WeekWish, venues: Sequence[Venue], zone: ZoneInfo
) -> WeekWish:
    """Return the wish for the week in which the chosen booking is, if there is such a booking."""
    row = session.get(BookingRow, wish.chosen)
    if row is None or row.is_withdrawn:
        return wish
    day = row.starts_at.astimezone(zone).date()
    key = row.pitch.key
    for venue in venues:
        places = [pitch.key for pitch in venue.pitches]
        if key in places:
            only = day if wish.day is not None else None
            return WeekWish(venue.key, monday_of(day), only, places.index(key), wish.chosen)
    return wish


def _near_day(
    days: Sequence[date],
    ranges: Mapping[date, TimeRange],
    today: date,
    bookings: Sequence[Booking],
    zone: ZoneInfo,
) -> date:
    """Return the day to begin with where only one is seen: today, else the first with people."""
    if today in ranges:
        return today
    busy = {day_shown(b.during, zone) for b in bookings if b.purpose is not Purpose.CLOSED}
    return next((day for day in days if day in busy), next(iter(ranges), days[0]))
