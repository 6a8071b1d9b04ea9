"""What became of each pitch's time: open, closed, held, empty, and lit.

Such figures need bookings laid side by side in time, which a database is slow at: they are measured
in arrays, all pitches at once.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from clubplanner.domain.booked.light_calendar import NO_LAMPS_NEEDED
from clubplanner.domain.rules.times.light import usable_from, usable_until
from clubplanner.domain.times.daylight import find_light
from clubplanner.domain.times.spans import Spans, join_spans
from clubplanner.domain.times.times import each_date, instant_from_wall
from clubplanner.domain.times.windows import join_windows
from clubplanner.services.reports.sums.report_values import PitchTime
from clubplanner.services.reports.sums.slices import midnights

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence
    from datetime import date
    from zoneinfo import ZoneInfo

    from numpy.typing import NDArray

    from clubplanner.domain.ground.grounds import Pitch, Venue
    from clubplanner.domain.times.spans import Seconds
    from clubplanner.services.reports.sums.booked_time import BookedTime
    from clubplanner.services.reports.sums.report_values import Place
    from clubplanner.services.reports.sums.slices import Slice
    from clubplanner.services.reports.sums.use_sums import AreaOf

A_DAY = timedelta(days=1)
FOREVER = 2**34
"""Later than any instant, in seconds since 1970."""
LANE = 2**36
"""Pitches lie one behind the other on one line of time, so far apart: all are measured at once."""


@dataclass(frozen=True, slots=True)
class Ground:
    """A pitch that is measured, by its number in the records."""

    number: int
    pitch: Pitch
    venue: Venue
    place: Place


@dataclass(frozen=True, slots=True)
class Lit:
    """When the floodlights of a pitch burnt within a month.

    Attributes:
        place: The pitch.
        month: First date of the month.
        spans: First second of each time they burnt without a break, and that at which it was over,
            since 1970.
    """

    place: Place
    month: date
    spans: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class Measured:
    """What became of each pitch's time, month by month, and when floodlights burnt."""

    times: tuple[PitchTime, ...]
    lit: tuple[Lit, ...]


@dataclass(frozen=True, slots=True, eq=False)
class _Held:
    """Bookings as arrays of equal length; `lanes` are the places of their pitches in the list."""

    lanes: Seconds
    starts: Seconds
    ends: Seconds
    patches: Seconds
    is_closed: NDArray[np.bool_]

    def during(self, start: int, end: int) -> _Held:
        """Return what of them lies in a range."""
        left = (self.starts < end) & (self.ends > start)
        return _Held(
            self.lanes[left],
            np.maximum(self.starts[left], start),
            np.minimum(self.ends[left], end),
            self.patches[left],
            self.is_closed[left],
        )

    def on_line(self) -> tuple[Seconds, Seconds]:
        """Return starts and ends on the line of all pitches."""
        before = self.lanes * LANE
        return self.starts + before, self.ends + before


def measure_pitches(
    booked: BookedTime,
    grounds: Sequence[Ground],
    areas: Mapping[int, AreaOf],
    slices: Sequence[Slice],
    days: tuple[date, date],
    zone: ZoneInfo,
) -> Measured:
    """Measure each pitch, month by month.

    Args:
        booked: What touches the time of the slices.
        grounds: The pitches.
        areas: Every area by its number.
        slices: The months, in order.
        days: First and last local date, included.
        zone: The club's time zone.
    """
    if not grounds:
        return Measured((), ())
    held = _held(booked, grounds, areas)
    hours = _LightAndHours(days, zone)
    open_hours = _on_one_line([hours.open_on(one.pitch, one.venue) for one in grounds])
    lit = _burning(grounds, held, hours)
    found: list[PitchTime] = []
    burnt: list[Lit] = []
    for one in slices:
        bounds = int(one.starts_at.timestamp()), int(one.ends_at.timestamp())
        columns = _measure(held.during(*bounds), open_hours, lit, bounds, len(grounds))
        rows = zip(*(column.tolist() for column in columns), strict=True)
        found += [
            PitchTime(ground.place, one.month, *row)
            for ground, row in zip(grounds, rows, strict=True)
        ]
        burnt += _lit_within(lit, one.month, bounds, grounds)
    return Measured(tuple(found), tuple(burnt))


def _lit_within(
    lit: Spans, month: date, bounds: tuple[int, int], grounds: Sequence[Ground]
) -> list[Lit]:
    """Return when floodlights burnt within a range, by pitch and start."""
    lanes = lit.starts // LANE
    starts = np.maximum(lit.starts - lanes * LANE, bounds[0])
    ends = np.minimum(lit.ends - lanes * LANE, bounds[1])
    left = ends > starts
    spans = list(zip(starts[left].tolist(), ends[left].tolist(), strict=True))
    burnt, first = np.unique(lanes[left], return_index=True)
    bounds_of = pairwise([*first.tolist(), len(spans)])
    return [
        Lit(grounds[lane].place, month, tuple(spans[start:end]))
        for lane, (start, end) in zip(burnt.tolist(), bounds_of, strict=True)
    ]


def _measure(
    held: _Held, open_hours: Spans, lit: Spans, bounds: tuple[int, int], count: int
) -> tuple[Seconds, ...]:
    """Return the figures of `PitchTime` in their order, an array each, a place a pitch."""
    lanes = np.arange(count, dtype=np.int64) * LANE
    first, last = lanes + bounds[0], lanes + bounds[1]
    starts, ends = held.on_line()
    ground = held.patches * open_hours.within(starts, ends)
    beyond = held.patches * (ends - starts) - ground
    live = ~held.is_closed
    taken = join_spans(starts, ends)
    busy = _by_lane(taken.starts // LANE, open_hours.within(taken.starts, taken.ends), count)
    open_seconds = open_hours.within(first, last)
    return (
        open_seconds,
        _by_lane(held.lanes[held.is_closed], ground[held.is_closed], count),
        _by_lane(held.lanes[live], ground[live], count),
        _by_lane(held.lanes[live], beyond[live], count),
        open_seconds - busy,
        lit.within(first, last),
    )


def _by_lane(lanes: Seconds, values: Seconds, count: int) -> Seconds:
    """Add values up by lane, exactly."""
    found = np.zeros(count, dtype=np.int64)
    np.add.at(found, lanes, values)
    return found


def _on_one_line(each: Sequence[Spans]) -> Spans:
    """Put stretches of time of every pitch one behind the other."""
    return Spans(
        np.concatenate([spans.starts + lane * LANE for lane, spans in enumerate(each)]),
        np.concatenate([spans.ends + lane * LANE for lane, spans in enumerate(each)]),
    )


def _held(booked: BookedTime, grounds: Sequence[Ground], areas: Mapping[int, AreaOf]) -> _Held:
    lanes = np.zeros(max(one.number for one in grounds) + 1, dtype=np.int64)
    lanes[[one.number for one in grounds]] = np.arange(len(grounds))
    sizes = np.zeros(max(areas, default=0) + 1, dtype=np.int64)
    sizes[list(areas)] = [area.patches for area in areas.values()]
    return _Held(
        lanes[booked.pitches], booked.starts, booked.ends, sizes[booked.areas], booked.is_closed
    )


class _LightAndHours:
    """Opening hours and light of pitches, worked out once for all that have the same."""

    def __init__(self, days: tuple[date, date], zone: ZoneInfo) -> None:
        self._zone = zone
        self._open: dict[object, Spans] = {}
        self._windows: dict[object, NDArray[np.int64]] = {}
        self._until: dict[object, Seconds] = {}
        self._from: dict[object, Seconds] = {}
        self._lamps: dict[object, Seconds] = {}
        self.days = list(each_date(days[0] - A_DAY, days[1]))
        """From the day before the first: its evening may reach over midnight."""
        self.midnights = np.array(midnights(self.days[0], days[1], zone), dtype=np.int64)

    def open_on(self, pitch: Pitch, venue: Venue) -> Spans:
        """Return when somebody could be on a pitch: while it is open and light enough."""
        kind = venue.opening, *_sky(venue), pitch.is_lit, pitch.is_indoor
        if kind not in self._open:
            if venue.opening not in self._windows:
                self._windows[venue.opening] = np.array(
                    list(self._hours(venue)), dtype=np.int64
                ).reshape(-1, 3)
            at, starts, ends = self._windows[venue.opening].T
            dawn, light = self._dawn(pitch, venue)[at], self._light(pitch, venue)[at]
            self._open[kind] = join_spans(np.maximum(starts, dawn), np.minimum(ends, light))
        return self._open[kind]

    def _hours(self, venue: Venue) -> Iterator[tuple[int, int, int]]:
        """Yield the place of a date of the report, and when the venue opens and shuts on it."""
        windows = join_windows(venue.opening)
        for at, day in enumerate(self.days[1:], 1):
            for window in windows:
                if window.weekday == day.weekday():
                    start, end = (
                        int(instant_from_wall(day, minute, self._zone).timestamp())
                        for minute in (window.start_min, window.end_min)
                    )
                    yield at, start, end

    def _light(self, pitch: Pitch, venue: Venue) -> Seconds:
        """Return until when there is light enough on a pitch, a place a date."""
        kind = *_sky(venue), pitch.is_lit, pitch.is_indoor
        if kind not in self._until:
            instants = [usable_until(pitch, venue, day, self._zone) for day in self.days]
            self._until[kind] = np.array(
                [FOREVER if at is None else int(at.timestamp()) for at in instants], dtype=np.int64
            )
        return self._until[kind]

    def _dawn(self, pitch: Pitch, venue: Venue) -> Seconds:
        """Return from when there is light enough on a pitch, a place a date."""
        kind = *_sky(venue), pitch.needs_daylight
        if kind not in self._from:
            instants = [usable_from(pitch, venue, day, self._zone) for day in self.days]
            self._from[kind] = np.array(
                [0 if at is None else int(at.timestamp()) for at in instants], dtype=np.int64
            )
        return self._from[kind]

    def lamps(self, pitch: Pitch, venue: Venue) -> Seconds:
        """Return two rows, a place a date: when it gets dark, and when the lights are out."""
        kind = _sky(venue)
        if kind not in self._lamps:
            dark = np.array([self._dark(venue, day) for day in self.days], dtype=np.int64)
            out = np.where(dark == FOREVER, FOREVER, self._light(pitch, venue))
            self._lamps[kind] = np.stack((dark, out))
        return self._lamps[kind]

    def _dark(self, venue: Venue, day: date) -> int:
        light = find_light(day, venue.lon, venue.lat, self._zone)
        if light.kind in NO_LAMPS_NEEDED:
            return FOREVER
        dark = light.usable_until(venue.dusk_margin_minutes)
        dark_from = instant_from_wall(day, 0, self._zone) if dark is None else dark
        return int(dark_from.timestamp())


def _sky(venue: Venue) -> tuple[object, ...]:
    """Return all of a venue that its light depends on."""
    return venue.lon, venue.lat, venue.dusk_margin_minutes, venue.lights_off_min


def _burning(grounds: Sequence[Ground], held: _Held, hours: _LightAndHours) -> Spans:
    """Return when floodlights burn: while it is dark, somebody is there, and they are not out.

    As on the page of light (`domain/booked/light_calendar.py`): the evening of a session is that
    of the date on which it begins; mornings before dawn are not counted.
    """
    never = np.full((2, len(hours.days)), FOREVER, dtype=np.int64)
    of_lane = np.stack(
        [
            hours.lamps(one.pitch, one.venue) if one.pitch.is_lit and not one.pitch.is_indoor
            else never
            for one in grounds
        ]
    )  # fmt: skip
    live = ~held.is_closed
    lanes, starts, ends = held.lanes[live], held.starts[live], held.ends[live]
    evening = np.searchsorted(hours.midnights, starts, side="right") - 1
    evening = np.clip(evening, 0, len(hours.days) - 1)
    dark, out = of_lane[lanes, 0, evening], of_lane[lanes, 1, evening]
    before = lanes * LANE
    return join_spans(before + np.maximum(starts, dark), before + np.minimum(ends, out))
