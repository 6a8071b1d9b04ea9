"""From bookings to a drawn week: which part of each day is shown, how light it is, who is where."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import timedelta
from itertools import pairwise
from typing import TYPE_CHECKING

from clubplanner.domain.ground.lanes import guides_of, lanes_of
from clubplanner.domain.rules.times.light import usable_from, usable_until
from clubplanner.domain.times.daylight import LightKind, find_light
from clubplanner.domain.times.times import (
    TimeRange,
    clock_in_zone,
    end_clock_in_zone,
    instant_from_wall,
    minute_from_instant,
    range_from_wall,
    range_left,
    short_day,
)
from clubplanner.domain.times.windows import join_windows
from clubplanner.language import _, ngettext, term
from clubplanner.outputs.charts.weeks.week_values import (
    Band,
    Block,
    DrawnPitch,
    DrawnWeek,
    Evening,
    Look,
    Sign,
)

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

    from clubplanner.domain.booked.bookings import Booking, Purpose
    from clubplanner.domain.ground.grounds import Pitch, Venue

AN_HOUR = 60
WEEKEND = 5
"""The first weekday that is no working day; evenings of working days begin and end alike."""


@dataclass(frozen=True, slots=True)
class Shown:
    """A session, a hire or closed ground as it is to be drawn.

    Attributes:
        pitch_key: The pitch.
        area_key: The area of that pitch.
        during: Half-open range of instants.
        who: Who, in a few words.
        look: How it is drawn.
        mark: Its number in the table beside the drawing; blank for none.
        address: Where it leads; blank for nowhere.
        sign: What a plan does to it.
        is_chosen: Whether somebody is looking at it.
        told: What else is read aloud of it, such as from where it was moved; blank for nothing.
    """

    pitch_key: str
    area_key: str
    during: TimeRange
    who: str
    look: Look
    mark: str = ""
    address: str = ""
    sign: Sign = Sign.NONE
    is_chosen: bool = False
    told: str = ""


def look_of(purpose: Purpose) -> Look:
    """Return how a booking of a purpose is drawn."""
    return Look(purpose.value)


def shown_booking(
    booking: Booking, *, mark: str = "", address: str = "", is_chosen: bool = False
) -> Shown:
    """Return a booking as it is to be drawn."""
    key = booking.pitch_key, booking.area_key
    look = look_of(booking.purpose)
    return Shown(*key, booking.during, booking.holder, look, mark, address, is_chosen=is_chosen)


def day_shown(during: TimeRange, zone: ZoneInfo) -> date:
    """Return the local date in whose evening something is drawn: that on which it begins."""
    return during.starts_at.astimezone(zone).date()


def drawn_ranges(
    venue: Venue, days: Sequence[date], shown: Iterable[Shown], zone: ZoneInfo
) -> dict[date, TimeRange]:
    """Choose which part of each day is drawn.

    From an hour before what is booked first to an hour after what ends last, within opening hours,
    alike on all working days; a Saturday or Sunday has hours of its own. Where nothing is booked on
    such days, all opening hours are drawn if nothing is booked at all, and none otherwise. What is
    booked is never cut off, and a day begins after the one before has ended.

    Args:
        venue: Where.
        days: Local dates in order.
        shown: What is drawn on them.
        zone: The club's time zone.

    Returns:
        Day → range, in order; days with nothing to draw are left out.
    """
    spans: dict[date, tuple[int, int]] = {}
    for one in shown:
        if one.look is Look.CLOSED:
            continue
        day = day_shown(one.during, zone)
        ends = [
            minute_from_instant(at, day, zone) for at in (one.during.starts_at, one.during.ends_at)
        ]
        known = spans.get(day, (ends[0], ends[1]))
        spans[day] = min(known[0], ends[0]), max(known[1], ends[1])
    found: dict[date, TimeRange] = {}
    for day in days:
        minutes = _minutes_drawn(venue, day, spans)
        if minutes is not None:
            found[day] = range_from_wall(day, *minutes, zone)
    ordered = list(found.items())
    for (_unused, earlier), (day, later) in pairwise(ordered):
        if later.starts_at < earlier.ends_at < later.ends_at:
            found[day] = TimeRange(earlier.ends_at, later.ends_at)
    return found


def _minutes_drawn(
    venue: Venue, day: date, spans: Mapping[date, tuple[int, int]]
) -> tuple[int, int] | None:
    windows = [w for w in join_windows(venue.opening) if w.weekday == day.weekday()]
    opened = (
        (min(w.start_min for w in windows), max(w.end_min for w in windows)) if windows else None
    )
    own = spans.get(day)
    alike = [span for other, span in spans.items() if _alike(day, other)]
    if not alike:
        return opened if not spans else None
    if opened is None:
        return own and _whole_hours(own)
    first = min(start for start, _end in alike) - AN_HOUR
    last = max(end for _start, end in alike) + AN_HOUR
    first, last = _whole_hours((first, last))
    first, last = max(first, opened[0]), min(last, opened[1])
    if own is not None:
        first, last = min(first, own[0]), max(last, own[1])
    return (first, last) if first < last else None


def _alike(day: date, other: date) -> bool:
    if day.weekday() < WEEKEND:
        return other.weekday() < WEEKEND
    return day == other


def _whole_hours(span: tuple[int, int]) -> tuple[int, int]:
    return span[0] // AN_HOUR * AN_HOUR, -(-span[1] // AN_HOUR) * AN_HOUR


def draw_shown(
    venue: Venue,
    pitches: Sequence[Pitch],
    ranges: Mapping[date, TimeRange],
    shown: Sequence[Shown],
    zone: ZoneInfo,
    today: date | None,
    title: str,
) -> DrawnWeek | None:
    """Put what is booked on pitches of a venue together as a drawing.

    Args:
        venue: Where.
        pitches: Those of its pitches that are drawn, from top to bottom.
        ranges: Which part of which day is drawn.
        shown: What is booked; what lies on other pitches or days is left out.
        zone: The club's time zone.
        today: The local date of whoever looks; None for a drawing that is looked at on any day.
        title: What the drawing is called.

    Returns:
        The drawing; None where there is nothing to draw it on.
    """
    if not ranges or not pitches:
        return None
    by_pitch: dict[str, list[Shown]] = defaultdict(list)
    for one in shown:
        by_pitch[one.pitch_key].append(one)
    count = sum(len(by_pitch[pitch.key]) for pitch in pitches)
    return DrawnWeek(
        title=title,
        summary=ngettext(
            "%(num)s booking drawn over time, on %(pitches)s. The table has it in words.",
            "%(num)s bookings drawn over time, on %(pitches)s. The table has each in words.",
            count,
            pitches=", ".join(pitch.name for pitch in pitches),
        ),
        evenings=tuple(_evening(day, during, zone, today) for day, during in ranges.items()),
        pitches=tuple(_pitch(venue, pitch, ranges, by_pitch[pitch.key], zone) for pitch in pitches),
    )


def _evening(day: date, during: TimeRange, zone: ZoneInfo, today: date | None) -> Evening:
    return Evening(short_day(day), during, tuple(_hours(during, zone)), is_now=day == today)


def _hours(during: TimeRange, zone: ZoneInfo) -> Iterable[tuple[datetime, str]]:
    """Yield the instants at which the clock shows a whole hour; one is there twice in autumn."""
    step = timedelta(minutes=15)
    at = during.starts_at.replace(minute=during.starts_at.minute // 15 * 15)
    while at <= during.ends_at:
        wall = at.astimezone(zone)
        if wall.minute == 0 and at >= during.starts_at:
            yield at, f"{wall.hour:d}"
        at += step


def _pitch(
    venue: Venue,
    pitch: Pitch,
    ranges: Mapping[date, TimeRange],
    shown: Sequence[Shown],
    zone: ZoneInfo,
) -> DrawnPitch:
    lanes = lanes_of(pitch, frozenset(one.area_key for one in shown))
    bands = []
    for day, during in ranges.items():
        blocks = tuple(
            _block(pitch, one, lanes[one.area_key], zone)
            for one in shown
            if one.during.overlaps(during) and one.area_key in lanes
        )
        bands.append(_band(venue, pitch, day, during, blocks, zone))
    return DrawnPitch(
        name=pitch.name,
        about=_("on top: %(end)s", end=pitch.edges.start),
        surface=pitch.surface,
        guides=guides_of(pitch),
        bands=tuple(bands),
    )


def _block(
    pitch: Pitch, one: Shown, lanes: tuple[tuple[float, float], ...], zone: ZoneInfo
) -> Block:
    area = pitch.area(one.area_key)
    place = area.name if pitch.name in area.name else f"{area.name}, {pitch.name}"
    start = clock_in_zone(one.during.starts_at, zone)
    end = end_clock_in_zone(one.during.ends_at, zone)
    times = f"{start}–{end}"
    words = f"{one.who}, {place}, {short_day(day_shown(one.during, zone))}, {times}"
    if one.told:
        words = f"{words}. {one.told}"
    elif one.sign is not Sign.NONE:
        words = f"{term(one.sign.value)}: {words}"
    return Block(
        one.during,
        lanes,
        one.who,
        words,
        one.look,
        times,
        one.mark,
        one.address,
        one.sign,
        one.is_chosen,
    )


def _band(
    venue: Venue,
    pitch: Pitch,
    day: date,
    during: TimeRange,
    blocks: tuple[Block, ...],
    zone: ZoneInfo,
) -> Band:
    dark = usable_until(pitch, venue, day, zone)
    lamps = None
    if pitch.is_lit and not pitch.is_indoor:
        sun = find_light(day, venue.lon, venue.lat, zone)
        lamps = sun.usable_until(venue.dusk_margin_minutes)
        if sun.kind is LightKind.NONE:
            lamps = instant_from_wall(day, 0, zone)
    return Band(
        opened=tuple(_opened(venue, day, zone)),
        blocks=blocks,
        dark_until=_reached(usable_from(pitch, venue, day, zone), during),
        dark_from=_within(dark, during),
        lamps_from=_within(lamps, during),
    )


def _within(instant: datetime | None, during: TimeRange) -> datetime | None:
    """Return an instant unless it lies after all that is drawn."""
    return None if instant is None or instant >= during.ends_at else instant


def _reached(instant: datetime | None, during: TimeRange) -> datetime | None:
    """Return an instant unless it lies before all that is drawn."""
    return None if instant is None or instant <= during.starts_at else instant


def _opened(venue: Venue, day: date, zone: ZoneInfo) -> Iterable[TimeRange]:
    for window in join_windows(venue.opening):
        if window.weekday == day.weekday():
            opened = range_left(day, window.start_min, window.end_min, zone)
            if opened is not None:
                yield opened
