"""What became of each pitch's time: open, closed, held, empty, and lit.

Such figures need bookings laid side by side in time, which a database is slow at: they are read
once as plain numbers and measured pitch by pitch in arrays.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

import numpy as np
from sqlalchemy import BigInteger, case, select, type_coerce

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.rules.times.light import usable_until
from clubplanner.domain.times.daylight import LightKind, find_light
from clubplanner.domain.times.spans import Spans, join_spans, spans_of
from clubplanner.domain.times.times import each_date, instant_from_wall
from clubplanner.domain.times.windows import join_windows
from clubplanner.services.reports.report_values import PitchTime
from clubplanner.services.reports.slices import midnights
from clubplanner.store.tables.booking_tables import BookingRow

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence
    from datetime import date
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.domain.ground.grounds import Pitch, Venue
    from clubplanner.domain.times.spans import Seconds
    from clubplanner.services.reports.report_values import Place
    from clubplanner.services.reports.slices import Slice
    from clubplanner.services.reports.use_sums import AreaOf

A_DAY = timedelta(days=1)
FOREVER = 2**40
"""Later than any instant."""


@dataclass(frozen=True, slots=True)
class Ground:
    """A pitch that is measured, by its number in the records."""

    number: int
    pitch: Pitch
    venue: Venue
    place: Place


@dataclass(frozen=True, slots=True, eq=False)
class _Held:
    """Bookings of a pitch, as arrays of equal length."""

    starts: Seconds
    ends: Seconds
    patches: Seconds
    is_closed: Seconds

    def during(self, start: int, end: int) -> _Held:
        """Return what of them lies in a range."""
        starts, ends = np.maximum(self.starts, start), np.minimum(self.ends, end)
        left = ends > starts
        return _Held(starts[left], ends[left], self.patches[left], self.is_closed[left])


def measure_pitches(
    session: Session,
    grounds: Sequence[Ground],
    areas: Mapping[int, AreaOf],
    slices: Sequence[Slice],
    days: tuple[date, date],
    zone: ZoneInfo,
) -> tuple[PitchTime, ...]:
    """Measure each pitch, month by month.

    Args:
        session: A reading session.
        grounds: The pitches.
        areas: Every area by its number.
        slices: The months, in order.
        days: First and last local date, included.
        zone: The club's time zone.
    """
    held = _load_held(session, areas, slices)
    nobody = _Held(*(np.zeros(0, dtype=np.int64) for _unused in range(4)))
    hours = _OpenHours(days, zone)
    bounds = [(int(s.starts_at.timestamp()), int(s.ends_at.timestamp())) for s in slices]
    found = []
    for ground in grounds:
        own = held.get(ground.number, nobody)
        open_hours = hours.of(ground.pitch, ground.venue)
        lit = _burning(ground, own, hours)
        found += [
            _measure(ground.place, one.month, own.during(*bound), open_hours, lit, bound)
            for one, bound in zip(slices, bounds, strict=True)
        ]
    return tuple(found)


def _measure(
    place: Place,
    month: date,
    held: _Held,
    open_hours: Spans,
    lit: Spans,
    bounds: tuple[int, int],
) -> PitchTime:
    first, last = (np.array([bound], dtype=np.int64) for bound in bounds)
    within = open_hours.within(held.starts, held.ends)
    ground = held.patches * within
    whole = held.patches * (held.ends - held.starts)
    is_closed = held.is_closed.astype(bool)
    open_seconds = int(open_hours.within(first, last)[0])
    taken = join_spans(held.starts, held.ends)
    return PitchTime(
        place=place,
        month=month,
        open_seconds=open_seconds,
        closed_ground=int(ground[is_closed].sum()),
        held_ground=int(ground[~is_closed].sum()),
        beyond_ground=int((whole - ground)[~is_closed].sum()),
        empty_seconds=open_seconds - int(open_hours.within(taken.starts, taken.ends).sum()),
        lamp_seconds=int(lit.within(first, last)[0]),
    )


def _load_held(
    session: Session, areas: Mapping[int, AreaOf], slices: Sequence[Slice]
) -> dict[int, _Held]:
    """Return the bookings of each pitch that touch the slices, by the pitch's number."""
    query = select(
        BookingRow.pitch_id,
        BookingRow.area_id,
        type_coerce(BookingRow.starts_at, BigInteger),
        type_coerce(BookingRow.ends_at, BigInteger),
        case((BookingRow.purpose == Purpose.CLOSED, 1), else_=0),
    ).where(
        *BookingRow.running_between(slices[0].starts_at, slices[-1].ends_at),
        BookingRow.is_withdrawn.is_(False),
    )
    rows = [tuple(row) for row in session.execute(query)]
    if not rows:
        return {}
    table = np.array(rows, dtype=np.int64)
    table = table[np.argsort(table[:, 0], kind="stable")]
    largest = max(areas)
    sizes = np.zeros(largest + 1, dtype=np.int64)
    for number, area in areas.items():
        sizes[number] = area.patches
    pitches, begins = np.unique(table[:, 0], return_index=True)
    return {
        int(pitch): _Held(part[:, 2], part[:, 3], sizes[part[:, 1]], part[:, 4])
        for pitch, part in zip(pitches, np.split(table, begins[1:]), strict=True)
    }


class _OpenHours:
    """Opening hours and light of pitches, worked out once for all that have the same."""

    def __init__(self, days: tuple[date, date], zone: ZoneInfo) -> None:
        self._first, self._last = days
        self._zone = zone
        self._open: dict[tuple[str, bool, bool], Spans] = {}
        self._lamps: dict[str, tuple[Seconds, Seconds]] = {}
        before = max(self._first, self._first.min + A_DAY) - A_DAY
        self.days = list(each_date(before, self._last))
        self.midnights = np.array(midnights(before, self._last, zone), dtype=np.int64)

    def of(self, pitch: Pitch, venue: Venue) -> Spans:
        """Return when somebody could be on a pitch: while it is open and light enough."""
        kind = venue.key, pitch.is_lit, pitch.is_indoor
        if kind not in self._open:
            self._open[kind] = spans_of(self._pairs(pitch, venue))
        return self._open[kind]

    def _pairs(self, pitch: Pitch, venue: Venue) -> Iterator[tuple[int, int]]:
        windows = join_windows(venue.opening)
        for day in each_date(self._first, self._last):
            today = [window for window in windows if window.weekday == day.weekday()]
            if not today:
                continue
            light = usable_until(pitch, venue, day, self._zone)
            until = FOREVER if light is None else int(light.timestamp())
            for window in today:
                start, end = (
                    int(instant_from_wall(day, minute, self._zone).timestamp())
                    for minute in (window.start_min, window.end_min)
                )
                yield start, min(end, until)

    def lamps(self, pitch: Pitch, venue: Venue) -> tuple[Seconds, Seconds]:
        """Return for each date from which second it is dark and until which lamps may burn."""
        if venue.key not in self._lamps:
            table = [self._dark(pitch, venue, day) for day in self.days]
            dark, out = np.array(table, dtype=np.int64).T
            self._lamps[venue.key] = dark, out
        return self._lamps[venue.key]

    def _dark(self, pitch: Pitch, venue: Venue, day: date) -> tuple[int, int]:
        light = find_light(day, venue.lon, venue.lat, self._zone)
        if light.kind in (LightKind.ALL_DAY, LightKind.UNKNOWN):
            return FOREVER, FOREVER
        dark = light.usable_until(venue.dusk_margin_minutes)
        dark_from = instant_from_wall(day, 0, self._zone) if dark is None else dark
        out = usable_until(pitch, venue, day, self._zone)
        return int(dark_from.timestamp()), FOREVER if out is None else int(out.timestamp())


def _burning(ground: Ground, held: _Held, hours: _OpenHours) -> Spans:
    """Return when floodlights burn: while it is dark, somebody is there, and they are not out.

    As on the page of light (`domain/booked/light_calendar.py`): the evening of a session is that
    of the date on which it begins, and nobody needs them before dawn.
    """
    if not ground.pitch.is_lit or ground.pitch.is_indoor:
        return spans_of(())
    dark, out = hours.lamps(ground.pitch, ground.venue)
    used = held.is_closed == 0
    starts, ends = held.starts[used], held.ends[used]
    evening = np.searchsorted(hours.midnights, starts, side="right") - 1
    evening = np.clip(evening, 0, len(hours.days) - 1)
    return join_spans(np.maximum(starts, dark[evening]), np.minimum(ends, out[evening]))
