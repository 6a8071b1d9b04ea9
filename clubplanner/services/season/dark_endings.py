"""Sessions that would end in the dark: on which dates, and a time or a lit area that works."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.booked.bookings import Booking, Purpose
from clubplanner.domain.times.times import (
    MINUTES_A_DAY,
    TimeRange,
    clock_from_minute,
    clock_in_zone,
    instant_from_wall,
    minute_from_instant,
    range_from_wall,
    short_day,
)
from clubplanner.errors import MissingError, RefusedError
from clubplanner.language import _, ngettext, weekday_in_words
from clubplanner.services.places.places import Need, find_places
from clubplanner.services.places.scenes import load_people, load_scene, need_of
from clubplanner.services.rows.booking_rows import load_area, note_change, place_booking
from clubplanner.services.rows.snapshot import load_bookings, load_club, load_venues
from clubplanner.services.showing.light_words import light_in_words
from clubplanner.store.journal import describe_change
from clubplanner.store.tables.booking_tables import BookingRow

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import date
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.domain.club.squads import Ask, Squad
    from clubplanner.domain.ground.grounds import Pitch, Venue
    from clubplanner.domain.ground.places import Place
    from clubplanner.store.engine import Store

EARLIER = timedelta(minutes=90)
"""How much earlier a session that ends in the dark may start instead."""
MOST_OFFERS = 4
MOST_TRIED = 8
"""Dates of a pattern that are looked at for offers; the offer is checked on all when taken."""


@dataclass(frozen=True, slots=True)
class LightOffer:
    """A time or ground at which a session ends in the light.

    Attributes:
        area_id: The area's number.
        start_min: Minute of the local day at which it starts.
        words: In words.
    """

    area_id: int
    start_min: int
    words: str

    @property
    def value(self) -> str:
        """As a form sends it."""
        return f"{self.area_id}-{self.start_min}"


@dataclass(frozen=True, slots=True)
class DarkEnding:
    """A weekly session, or a single booking, that ends in the dark on some dates.

    Attributes:
        holder: Who.
        place: The ground.
        when: Weekday and times.
        numbers: The bookings concerned, by date.
        days: Their dates.
        dates: The same in words.
        worst: The earliest moment at which it is too dark, in words.
        offers: What works on all of these dates, nearest first.
    """

    holder: str
    place: str
    when: str
    numbers: tuple[int, ...]
    days: tuple[date, ...]
    dates: str
    worst: str
    offers: tuple[LightOffer, ...]


@dataclass(frozen=True, slots=True)
class _Dark:
    booking: Booking
    day: date
    until: datetime | None
    place: str


def list_dark_endings(
    store: Store, first: date, last: date, now: datetime
) -> tuple[DarkEnding, ...]:
    """Return the sessions to come that would end in the dark, with what works instead.

    Args:
        store: The database.
        first: First local date looked at.
        last: Last date, included.
        now: The present instant; what has begun is left out.
    """
    with store.read() as session:
        return find_dark_endings(session, first, last, now)


def find_dark_endings(
    session: Session, first: date, last: date, now: datetime, *, with_offers: bool = True
) -> tuple[DarkEnding, ...]:
    """Do what `list_dark_endings` does in an open session."""
    zone = load_club(session).time_zone
    during = TimeRange(
        instant_from_wall(first, 0, zone), instant_from_wall(last, MINUTES_A_DAY, zone)
    )
    ground = {p.key: (v, p) for v in load_venues(session) for p in v.pitches}
    groups: dict[tuple[object, ...], list[_Dark]] = defaultdict(list)
    for booking in load_bookings(session, during):
        if booking.purpose is Purpose.CLOSED or booking.during.starts_at <= now:
            continue
        dark = _dark(booking, ground, zone)
        if dark is not None:
            start = minute_from_instant(booking.during.starts_at, dark.day, zone)
            key = (
                booking.holder,
                booking.pitch_key,
                booking.area_key,
                dark.day.weekday(),
                start,
                booking.during.minutes,
            )
            groups[key].append(dark)
    squads, asks = load_people(session) if with_offers else ({}, [])
    return tuple(
        _ending(session, group, squads, asks, now, zone, with_offers=with_offers)
        for group in sorted(groups.values(), key=lambda g: g[0].booking.during.starts_at)
    )


def move_out_of_the_dark(
    store: Store, numbers: Sequence[int], area_id: int, start_min: int, now: datetime
) -> str:
    """Move sessions to ground and a time at which they end in the light, all or none.

    Args:
        store: The database.
        numbers: The bookings.
        area_id: Where to.
        start_min: Minute of each local day at which they start; they keep their length.
        now: The present instant.

    Returns:
        What was done, a sentence.

    Raises:
        ClashError: If somebody holds the ground on one of the dates.
        MissingError: If a booking or the area is gone.
        RefusedError: If it would end in the dark there too, or a session has begun.
    """
    with store.write() as session:
        zone = load_club(session).time_zone
        area = load_area(session, area_id)
        ground = {p.key: (v, p) for v in load_venues(session) for p in v.pitches}
        venue, pitch = ground[area.pitch.key]
        rows = session.scalars(select(BookingRow).where(BookingRow.id.in_(numbers))).all()
        rows = [row for row in rows if not row.is_withdrawn]
        if not rows or len(rows) != len(set(numbers)):
            raise MissingError(_("Some of these sessions have been withdrawn; look again."))
        for row in rows:
            if row.starts_at <= now:
                raise RefusedError(_("One of these sessions has begun; look again."))
            day = row.starts_at.astimezone(zone).date()
            start = instant_from_wall(day, start_min, zone)
            target = TimeRange(start, start + (row.ends_at - row.starts_at))
            if light_in_words(pitch, venue, day, zone).ends_too_late(target.ends_at):
                raise RefusedError(
                    _(
                        "On %(day)s it would end in the dark there too; look again.",
                        day=short_day(day),
                    )
                )
            place_booking(session, row, area, target)
            row.is_fixed = True
            note_change(row, now)
        clock = clock_from_minute(start_min)
        words = ngettext(
            "%(holder)s: %(num)s session to %(area)s, %(pitch)s, %(clock)s",
            "%(holder)s: %(num)s sessions to %(area)s, %(pitch)s, %(clock)s",
            len(rows),
            holder=rows[0].holder,
            area=area.name,
            pitch=pitch.name,
            clock=clock,
        )
        describe_change(session, _("%(words)s, out of the dark", words=words))
        return _("Moved %(words)s.", words=words)


def _dark(booking: Booking, ground: dict[str, tuple[Venue, Pitch]], zone: ZoneInfo) -> _Dark | None:
    venue, pitch = ground[booking.pitch_key]
    day = booking.during.starts_at.astimezone(zone).date()
    light = light_in_words(pitch, venue, day, zone)
    if not light.ends_too_late(booking.during.ends_at):
        return None
    area = pitch.area(booking.area_key)
    place = area.name if area.cut == "whole" else f"{area.name}, {pitch.name}"
    return _Dark(booking, day, light.usable_until, place)


def _ending(
    session: Session,
    group: Sequence[_Dark],
    squads: dict[str, Squad],
    asks: Sequence[Ask],
    now: datetime,
    zone: ZoneInfo,
    *,
    with_offers: bool,
) -> DarkEnding:
    first = group[0]
    times = [one.until for one in group if one.until is not None]
    worst = min(times, key=lambda at: at.astimezone(zone).time()) if times else None
    offers: tuple[LightOffer, ...] = ()
    if with_offers:
        offers = tuple(_offers(session, group[:MOST_TRIED], squads, asks, now, zone))
    during = first.booking.during
    return DarkEnding(
        holder=first.booking.holder,
        place=first.place,
        when=f"{weekday_in_words(first.day.weekday())} {clock_in_zone(during.starts_at, zone)}–"
        f"{clock_in_zone(during.ends_at, zone)}",
        numbers=tuple(one.booking.number for one in group),
        days=tuple(one.day for one in group),
        dates=_dates_in_words([one.day for one in group]),
        worst=_("there is no daylight")
        if worst is None
        else _("too dark from %(worst)s", worst=clock_in_zone(worst, zone)),
        offers=offers,
    )


def _offers(
    session: Session,
    group: Sequence[_Dark],
    squads: dict[str, Squad],
    asks: Sequence[Ask],
    now: datetime,
    zone: ZoneInfo,
) -> Iterable[LightOffer]:
    """Yield what is free and light on all dates looked at, nearest first."""
    common: dict[tuple[int, int], Place] = {}
    for n, dark in enumerate(group):
        need: Need = need_of(dark.booking, squads, asks, now, earlier=EARLIER, later=timedelta(0))
        places = {
            (p.area_id, minute_from_instant(p.during.starts_at, dark.day, zone)): p
            for p in find_places(load_scene(session, dark.day), need, most=200)
        }
        common = places if n == 0 else {key: common[key] for key in common if key in places}
    for (area_id, start), place in list(common.items())[:MOST_OFFERS]:
        yield LightOffer(
            area_id,
            start,
            _(
                "%(place)s, %(venue_name)s, from %(start)s",
                place=place.name,
                venue_name=place.venue_name,
                start=clock_from_minute(start),
            ),
        )


def _dates_in_words(days: Sequence[date]) -> str:
    if len(days) <= 3:
        return ", ".join(short_day(day) for day in days)
    return _(
        "%(count)s dates, %(first)s to %(last)s",
        count=len(days),
        first=short_day(days[0]),
        last=short_day(days[-1]),
    )


def day_range(day: date, zone: ZoneInfo) -> TimeRange:
    """Return the instants of a local date."""
    return range_from_wall(day, 0, MINUTES_A_DAY, zone)
