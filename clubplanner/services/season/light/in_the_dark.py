"""Sessions that would be in the dark: on which dates, and a time or a lit area that works."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, replace
from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.booked.session_state import Cause, Reason
from clubplanner.domain.rules.book import hindrances
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
from clubplanner.language import _, ngettext
from clubplanner.services.places.places import OTHER_VENUE, Need, find_places, is_place
from clubplanner.services.places.scenes import load_scenes, need_of
from clubplanner.services.rows.bookings.booking_rows import load_area, note_change, place_booking
from clubplanner.services.rows.near import is_spread
from clubplanner.services.rows.snapshot import load_club, load_numbered, load_venues
from clubplanner.services.season.light.dark_sessions import DarkSession, find_dark_sessions
from clubplanner.services.season.standing import (
    Pattern,
    Standing,
    dates_in_words,
    load_standing,
    place_in_short,
    weekly_in_words,
    weekly_pattern,
)
from clubplanner.store.journal.journal import describe_change, explain_change
from clubplanner.store.tables.booking_tables import BookingRow

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

    from clubplanner.domain.booked.bookings import Booking
    from clubplanner.domain.club.squads import Squad
    from clubplanner.domain.ground.grounds import Area, Pitch
    from clubplanner.domain.ground.places import Place
    from clubplanner.domain.rules.case import Case, Scene
    from clubplanner.store.engine import Store
    from clubplanner.store.tables.ground_tables import AreaRow

AT_MOST = timedelta(minutes=90)
"""How much earlier a session that ends in the dark may start instead; later if it begins there."""
MOST_OFFERS = 4
MOST_LOOKED_AT = 200
MOST_TRIED = 8
"""Dates of a pattern that are looked at for offers; the offer is checked on all when taken."""


@dataclass(frozen=True, slots=True)
class LightOffer:
    """A time or ground at which a session is in the light.

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
class InTheDark:
    """A weekly session, or a single booking, that begins or ends in the dark on some dates.

    Attributes:
        holder: Who.
        place: The ground.
        when: Weekday and times.
        numbers: The bookings concerned, by date.
        days: Their dates.
        dates: The same in words.
        worst: The earliest moment from which it is too dark, or the latest until which, in words.
        is_early: Whether it begins in the dark on one of them.
        offers: What works on all of these dates, nearest first.
    """

    holder: str
    place: str
    when: str
    numbers: tuple[int, ...]
    days: tuple[date, ...]
    dates: str
    worst: str
    is_early: bool
    offers: tuple[LightOffer, ...]


@dataclass(frozen=True, slots=True)
class _Dark:
    booking: Booking
    session: DarkSession


def list_in_the_dark(
    store: Store, first: date, last: date, now: datetime, venue_key: str = ""
) -> tuple[InTheDark, ...]:
    """Return the sessions to come that would be in the dark; `offer_light` says what works.

    Args:
        store: The database.
        first: First local date looked at.
        last: Last date, included.
        now: The present instant; what has begun is left out.
        venue_key: Where a club is spread over many venues, the one that is asked about; blank for
            all.
    """
    with store.read() as session:
        zone = load_club(session).time_zone
        venues = load_venues(session)
        if venue_key and is_spread(session):
            venues = tuple(venue for venue in venues if venue.key == venue_key)
        found = {one.number: one for one in find_dark_sessions(session, venues, first, last, now)}
        pitches = {pitch.key: pitch for venue in venues for pitch in venue.pitches}
        groups: dict[Pattern, list[_Dark]] = defaultdict(list)
        bookings = load_numbered(session, found.keys())
    for booking in sorted(bookings, key=lambda one: (one.during.starts_at, one.holder)):
        one = found[booking.number]
        pattern = weekly_pattern(
            booking.holder, booking.pitch_key, booking.area_key, booking.during, zone
        )
        groups[pattern].append(_Dark(booking, one))
    return tuple(_ending(group, pitches[group[0].booking.pitch_key], zone)
                 for group in groups.values())  # fmt: skip


def offer_light(
    store: Store, endings: Sequence[InTheDark], now: datetime, venue_key: str = ""
) -> tuple[InTheDark, ...]:
    """Return sessions that are in the dark with what is free and light on all of their dates.

    Args:
        store: The database.
        endings: As `list_in_the_dark` tells them, all or some.
        now: The present instant; nothing is offered that begins before it.
        venue_key: Where a club is spread over many venues, the one that they are at; blank for all.
    """
    days = [day for ending in endings for day in ending.days[:MOST_TRIED]]
    if not days:
        return tuple(endings)
    with store.read() as session:
        scene = load_scenes(session, min(days), max(days), venue_key)
        elsewhere = not is_spread(session)
    bookings = {booking.number: booking for booking in scene.bookings}
    squads = dict(scene.squads)
    return tuple(
        replace(
            ending,
            offers=tuple(
                _offers(
                    scene,
                    elsewhere,
                    [
                        (day, _need(scene, squads, bookings[number], now, is_early=ending.is_early))
                        for number, day in zip(ending.numbers, ending.days, strict=True)
                        if number in bookings
                    ][:MOST_TRIED],
                )
            ),
        )
        for ending in endings
    )


def move_out_of_the_dark(
    store: Store, numbers: Sequence[int], area_id: int, start_min: int, now: datetime
) -> str:
    """Move sessions to ground and a time at which they are in the light, all or none.

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
        RefusedError: If a rule other than the squad's own wishes is broken there, or a session
            has begun.
    """
    with store.write() as session:
        zone = load_club(session).time_zone
        area = load_area(session, area_id)
        rows = session.scalars(select(BookingRow).where(BookingRow.id.in_(numbers))).all()
        rows = [row for row in rows if not row.is_withdrawn]
        if not rows or len(rows) != len(set(numbers)):
            raise MissingError(_("Some of these sessions have been withdrawn; look again."))
        if any(row.starts_at <= now for row in rows):
            raise RefusedError(_("One of these sessions has begun; look again."))
        days = [row.starts_at.astimezone(zone).date() for row in rows]
        scene = load_scenes(session, min(days), max(days))
        standing = load_standing(session, scene, min(days), max(days), now)
        cases = {one.booking.number: one for one in standing}
        scene = scene.without(cases.keys() & set(numbers))
        for row, day in zip(rows, days, strict=True):
            start = instant_from_wall(day, start_min, zone)
            target = TimeRange(start, start + (row.ends_at - row.starts_at))
            there = _moved(cases[row.id], scene, area, target)
            found = [one for one in hindrances(there) if not one.is_own]
            if found and not any(one.is_final for one in found):
                raise RefusedError(
                    _("%(day)s: %(words)s", day=short_day(day), words=found[0].words)
                )
            place_booking(session, row, area, target)  # tells what is held, and by whom
            scene = scene.with_booked(_booked_there(cases[row.id], there))
            row.is_fixed = True
            note_change(row, now)
        clock = clock_from_minute(start_min)
        words = ngettext(
            "%(holder)s: %(num)s session to %(area)s, %(pitch)s, %(clock)s",
            "%(holder)s: %(num)s sessions to %(area)s, %(pitch)s, %(clock)s",
            len(rows),
            holder=rows[0].holder,
            area=area.name,
            pitch=area.pitch.name,
            clock=clock,
        )
        describe_change(session, _("%(words)s, out of the dark", words=words))
        explain_change(session, Reason(Cause.SAID, _("out of the dark")))
        return _("Moved %(words)s.", words=words)


def _moved(standing: Standing, scene: Scene, area: AreaRow, target: TimeRange) -> Case:
    """Return the case of a session on other ground at another time."""
    case = standing.case
    pitch = scene.pitches[area.pitch.key]
    until = case.light_until
    return replace(
        case,
        scene=scene,
        pitch=pitch,
        area=pitch.area(area.key),
        during=target,
        was=case.during,
        light_until=None if until is None else target.ends_at - (case.during.ends_at - until),
    )


def _booked_there(standing: Standing, there: Case) -> Booking:
    return replace(
        standing.booking,
        pitch_key=there.pitch.key,
        area_key=there.area.key,
        cells=there.area.cells,
        during=there.during,
    )


def _ending(group: Sequence[_Dark], pitch: Pitch, zone: ZoneInfo) -> InTheDark:
    booking = group[0].booking
    days = tuple(one.session.day for one in group)
    return InTheDark(
        holder=booking.holder,
        place=place_in_short(pitch, pitch.area(booking.area_key)),
        when=weekly_in_words(booking.during, zone),
        numbers=tuple(one.booking.number for one in group),
        days=days,
        dates=dates_in_words(days),
        worst=_worst([one.session for one in group], zone),
        is_early=any(one.session.dawn is not None for one in group),
        offers=(),
    )


def _worst(group: Sequence[DarkSession], zone: ZoneInfo) -> str:
    """Say from when it is too dark at the earliest; of what begins too early, until when."""
    dawns = [clock_in_zone(one.dawn, zone) for one in group if one.dawn is not None]
    if dawns:
        return _("too dark until %(worst)s", worst=max(dawns))
    ends = [(one.until, one.day) for one in group if one.until is not None]
    clocks = [clock_in_zone(at, zone) for at, day in ends if at > instant_from_wall(day, 0, zone)]
    if not clocks:
        return _("there is no daylight")
    return _("too dark from %(worst)s", worst=min(clocks))


def _need(
    scene: Scene, squads: dict[str, Squad], booking: Booking, now: datetime, *, is_early: bool
) -> Need:
    asks, none = scene.asks.get(booking.squad_key or "", ()), timedelta(0)
    earlier, later = (none, AT_MOST) if is_early else (AT_MOST, none)
    return need_of(booking, squads, asks, now, earlier=earlier, later=later)


def _offers(
    scene: Scene, elsewhere: bool, group: Sequence[tuple[date, Need]]
) -> Iterator[LightOffer]:
    """Yield what is free and light on all dates looked at, nearest first."""
    if not group:
        return
    (day, need), others = group[0], group[1:]
    zone, left = scene.club.time_zone, MOST_OFFERS
    for place in _nearest(scene, elsewhere, need):
        start = minute_from_instant(place.during.starts_at, day, zone)
        pitch, area = _ground(scene, place)
        if all(
            is_place(scene, other, pitch, area, instant_from_wall(then, start, zone))
            for then, other in others
        ):
            words = _(
                "%(place)s, %(venue_name)s, from %(start)s",
                place=place.name,
                venue_name=place.venue_name,
                start=clock_from_minute(start),
            )
            yield LightOffer(place.area_id, start, words)
            left -= 1
            if left == 0:
                return


def _nearest(scene: Scene, elsewhere: bool, need: Need) -> Iterator[Place]:
    """Yield where a session could go, nearest first; other venues are looked at only if need be."""
    own = scene.venue_of[need.booking.pitch_key]
    here = find_places(scene, need, most=MOST_LOOKED_AT, at=own)
    near = [place for place in here if place.cost < OTHER_VENUE]
    yield from near
    if not elsewhere:
        return
    everywhere = here if len(scene.venues) == 1 else find_places(scene, need, most=MOST_LOOKED_AT)
    yield from everywhere[len(near) :]  # these come first in either


def _ground(scene: Scene, place: Place) -> tuple[Pitch, Area]:
    pitch = scene.pitches[place.pitch_key]
    ids = scene.area_ids
    return pitch, next(a for a in pitch.areas if ids[pitch.key, a.key] == place.area_id)


def day_range(day: date, zone: ZoneInfo) -> TimeRange:
    """Return the instants of a local date."""
    return range_from_wall(day, 0, MINUTES_A_DAY, zone)
