"""A venue's week: drawn over time, the table behind it, and where a session could go."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from clubplanner.domain.booked.bookings import Booking, Purpose
from clubplanner.domain.times.times import (
    MINUTES_A_DAY,
    TimeRange,
    clock_from_minute,
    clock_in_zone,
    day_and_month,
    day_in_words,
    day_month_year,
    end_clock_in_zone,
    range_from_wall,
)
from clubplanner.domain.times.windows import join_windows
from clubplanner.errors import MissingError
from clubplanner.language import _, short_weekday, weekday_in_words
from clubplanner.outputs.charts.weeks.week_chart import draw_week
from clubplanner.outputs.charts.weeks.week_values import NARROW, SCREEN, WIDE_EVENING
from clubplanner.services.evening.weeks.offers import Offer, find_offers
from clubplanner.services.rows.snapshot import load_bookings, load_club, load_venues
from clubplanner.services.showing.choosing.choices import Choice
from clubplanner.services.showing.drawn_weeks import (
    Shown,
    day_shown,
    draw_shown,
    drawn_ranges,
    shown_booking,
)
from clubplanner.services.showing.ground.plans import times_in_words
from clubplanner.store.tables.booking_tables import BookingRow

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.domain.ground.grounds import Pitch, Venue
    from clubplanner.outputs.charts.weeks.week_values import DrawnWeek, Form
    from clubplanner.store.engine import Store

PITCHES = 4
"""Pitches of one leaf: more would not be seen at once."""
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


@dataclass(frozen=True, slots=True)
class ChosenSession:
    """The session that somebody is looking at.

    Attributes:
        number: The booking's number.
        sequence: The change shown, for forms that act on it.
        words: Where and when it is.
        holder: Who.
        is_session: Whether share-outs could move it.
        is_fixed: Whether they must leave it alone.
        is_over: Whether it cannot be moved any more.
        offers: Where else it could go in this week.
    """

    number: int
    sequence: int
    words: str
    holder: str
    is_session: bool
    is_fixed: bool
    is_over: bool
    offers: tuple[Offer, ...]


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


def week_in_words(monday: date) -> str:
    """Write a week as "12 Apr to 18 Apr 2027"."""
    last = monday + timedelta(days=DAYS - 1)
    return _("%(first)s to %(last)s", first=day_and_month(monday), last=day_month_year(last))


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
        zone = load_club(session).time_zone
        venues = load_venues(session)
        if place_address is not None and wish.chosen is not None:
            wish = _round_chosen(session, wish, venues, zone)
        venue = _find(venues, wish.venue_key)
        during = range_from_wall(wish.monday, 0, DAYS * MINUTES_A_DAY, zone)
        pitches = leaf_of(venue, wish.pitch)
        keys = {pitch.key for pitch in pitches}
        bookings = [b for b in load_bookings(session, during) if b.pitch_key in keys]
        chosen = None
        if place_address is not None and wish.chosen is not None:
            chosen = _chosen(session, bookings, pitches, wish, zone, now)
    days = tuple(wish.monday + timedelta(days=n) for n in range(DAYS))
    shown = _shown(bookings, address, wish.chosen)
    if chosen is not None and place_address is not None:
        shown += [offer.shown(place_address(offer)) for offer in chosen.offers]
    ranges = drawn_ranges(venue, days, shown, zone)
    today = now.astimezone(zone).date()
    near = wish.day or _near_day(days, ranges, today, bookings, zone)

    def drawn(only: date | None, form: Form) -> str:
        part = {only: ranges[only]} if only in ranges else {} if only else ranges
        week = draw_shown(venue, pitches, part, shown, zone, today, venue.name)
        return "" if week is None else draw_week(week, form)

    return WeekPage(
        venue=Choice(venue.key, venue.name),
        venues=tuple(Choice(v.key, v.name) for v in venues),
        pitches=tuple(pitch.name for pitch in venue.pitches),
        monday=wish.monday,
        words=week_in_words(wish.monday),
        days=_days(venue, days, ranges, bookings, zone),
        pitch=venue.pitches.index(pitches[0]) if pitches else 0,
        day=wish.day,
        near=near,
        drawing=drawn(wish.day, WIDE_EVENING if wish.day else SCREEN),
        narrow=drawn(near, NARROW),
        chosen=chosen,
    )


@dataclass(frozen=True, slots=True)
class PaperWeek:
    """A week with all that is said of it on paper.

    Attributes:
        club_name: The club.
        venue_name: Where.
        zone: The club's time zone.
        drawn: All pitches of the venue; None where there is nothing to draw.
        words: Every booking in words, for those who have the sheet read aloud.
        notes: Days that are not drawn, and why.
    """

    club_name: str
    venue_name: str
    zone: ZoneInfo
    drawn: DrawnWeek | None
    words: str
    notes: tuple[str, ...]


def load_drawn_week(store: Store, venue_key: str | None, monday: date) -> PaperWeek:
    """Return a venue's week for paper.

    Raises:
        MissingError: If there is no such venue.
    """
    with store.read() as session:
        club = load_club(session)
        zone = club.time_zone
        venue = _find(load_venues(session), venue_key)
        during = range_from_wall(monday, 0, DAYS * MINUTES_A_DAY, zone)
        known = load_bookings(session, during)
    keys = {pitch.key for pitch in venue.pitches}
    bookings = [b for b in known if b.pitch_key in keys]
    days = [monday + timedelta(days=n) for n in range(DAYS)]
    shown = _shown(bookings, lambda _b: "", None)
    ranges = drawn_ranges(venue, days, shown, zone)
    lines = [
        f"{day.name}: " + "; ".join(f"{r.times} {r.holder}, {r.place}" for r in day.rows)
        for day in _days(venue, days, ranges, bookings, zone)
        if day.rows
    ]
    return PaperWeek(
        club.name,
        venue.name,
        zone,
        draw_shown(venue, venue.pitches, ranges, shown, zone, None, venue.name),
        ". ".join(lines) or _("Nothing is booked in this week."),
        tuple(_why_not_drawn(venue, day) for day in days if day not in ranges),
    )


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


def _find(venues: Sequence[Venue], key: str | None) -> Venue:
    for venue in venues:
        if key is None or venue.key == key:
            return venue
    if not venues:
        raise MissingError(_("There is no venue yet; load the club's settings and grounds first."))
    raise MissingError(_("There is no such venue; choose one from the page of the week."))


def _shown(
    bookings: Sequence[Booking], address: Callable[[Booking], str], chosen: int | None
) -> list[Shown]:
    return [
        shown_booking(
            booking,
            mark=str(n),
            address=address(booking),
            is_chosen=booking.number == chosen,
        )
        for n, booking in enumerate(bookings, start=1)
    ]


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


def _days(
    venue: Venue,
    days: Sequence[date],
    ranges: Mapping[date, TimeRange],
    bookings: Sequence[Booking],
    zone: ZoneInfo,
) -> tuple[WeekDay, ...]:
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
            "" if day in ranges else _why_not_drawn(venue, day),
            tuple(rows[day]),
        )
        for day in days
    )


def _why_not_drawn(venue: Venue, day: date) -> str:
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


def _chosen(
    session: Session,
    bookings: Sequence[Booking],
    pitches: Sequence[Pitch],
    wish: WeekWish,
    zone: ZoneInfo,
    now: datetime,
) -> ChosenSession | None:
    booking = next((b for b in bookings if b.number == wish.chosen), None)
    if booking is None or booking.purpose is Purpose.CLOSED:
        return None
    pitch = next(pitch for pitch in pitches if pitch.key == booking.pitch_key)
    area = pitch.area(booking.area_key)
    is_over = booking.during.ends_at <= now
    start = clock_in_zone(booking.during.starts_at, zone)
    end = end_clock_in_zone(booking.during.ends_at, zone)
    return ChosenSession(
        number=booking.number,
        sequence=booking.sequence,
        words=_(
            "%(area)s, %(pitch)s, %(day)s, %(start)s–%(end)s",
            area=area.name,
            pitch=pitch.name,
            day=day_in_words(day_shown(booking.during, zone)),
            start=start,
            end=end,
        ),
        holder=booking.holder,
        is_session=booking.purpose is Purpose.TRAINING and booking.squad_key is not None,
        is_fixed=booking.is_fixed,
        is_over=is_over,
        offers=()
        if is_over
        else find_offers(session, booking, {p.key for p in pitches}, wish.monday, now),
    )
