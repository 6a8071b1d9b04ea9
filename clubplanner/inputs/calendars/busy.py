"""A foreign calendar as busy times: when a venue or a hirer holds the ground themselves.

Recurrences are expanded, changed and cancelled single dates included; what leaves the time free
(cancelled, or marked so) is left out. Lists of busy times without events are read as well. A fault
costs its own event only and is told as a `Problem`; what is left is good to use.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, timedelta
from typing import TYPE_CHECKING

from clubplanner.domain.times.times import TimeRange
from clubplanner.inputs.calendars.busy_events import Event, read_event
from clubplanner.inputs.calendars.busy_periods import read_periods
from clubplanner.inputs.calendars.busy_series import SeriesReader, Span
from clubplanner.inputs.calendars.calendar_lines import (
    EVENTS_LIMIT,
    SIZE_LIMIT,
    Component,
    LineError,
    read_components,
)
from clubplanner.inputs.calendars.calendar_text import decode_calendar
from clubplanner.inputs.calendars.calendar_zones import (
    WallClock,
    ZoneClock,
    described_clock,
    known_clock,
    windows_clock,
)
from clubplanner.inputs.calendars.recurrence import Budget, BudgetError
from clubplanner.inputs.reading.faults import Faults
from clubplanner.language import _

if TYPE_CHECKING:
    from collections.abc import Iterator
    from zoneinfo import ZoneInfo

    from clubplanner.domain.problems import Problem

WORK_LIMIT = 1_000_000
"""Days looked at and times made for one calendar."""
EVENT_WORK_LIMIT = 150_000
"""The same for one event and its changed dates, or for the description of one zone."""
TIMES_LIMIT = 20_000
"""Busy times given for one calendar."""
_MARGIN = timedelta(days=2)


@dataclass(frozen=True, slots=True, order=True)
class BusyTime:
    """One stretch of time that is taken.

    Attributes:
        during: From when to when; it may reach beyond the stretch asked for.
        title: What for, on one line of at most 200 characters; may be blank.
        uid: The event's own; blank where the calendar gives none.
    """

    during: TimeRange
    title: str
    uid: str


@dataclass(frozen=True, slots=True)
class BusyReading:
    """What a calendar says.

    Attributes:
        times: In order, those that meet the stretch asked for.
        problems: What could not be read; the times are good all the same.
    """

    times: tuple[BusyTime, ...]
    problems: tuple[Problem, ...]


def read_busy(data: bytes, file_name: str, during: TimeRange, zone: ZoneInfo) -> BusyReading:
    """Read the busy times of a calendar that meet a stretch of time.

    Args:
        data: An iCalendar file (RFC 5545); any bytes at all are answered.
        file_name: How to call it when telling a person.
        during: The stretch wanted.
        zone: For whole days and for times that name no zone, or none that is known.

    Returns:
        Times and problems.
    """
    faults = Faults(file_name)
    if len(data) > SIZE_LIMIT:
        megabytes = SIZE_LIMIT // 1_000_000
        faults.add(
            "",
            "too-large",
            _("The calendar is larger than %(megabytes)s MB. Ask for less", megabytes=megabytes),
        )
        return BusyReading((), tuple(faults.found))
    content, is_sure = decode_calendar(data)
    if "BEGIN:VCALENDAR" not in content.upper():
        faults.add("", "no-calendar", _("This is no calendar. Give the address or file of one"))
        return BusyReading((), tuple(faults.found))
    if not is_sure:
        message = _("Its letters are not written as UTF-8. Times are right; check names")
        faults.add("", "odd-letters", message)
    return _Reader(during, zone, faults).read(content)


class _Reader:
    """Reads one calendar."""

    def __init__(self, during: TimeRange, zone: ZoneInfo, faults: Faults) -> None:
        self._during = during
        self._zone = zone
        self._faults = faults
        self._budget = Budget(WORK_LIMIT)
        self._described: dict[str, Component] = {}
        self._clocks: dict[str, WallClock | None] = {}

    def read(self, content: str) -> BusyReading:
        """Return what a calendar says."""
        times: list[BusyTime] = []
        for found in self._found(self._components(content)):
            times += found[: TIMES_LIMIT - len(times)]
            if len(times) >= TIMES_LIMIT:
                message = _(
                    "Only %(times_limit)s busy times are read. Ask for a shorter time",
                    times_limit=TIMES_LIMIT,
                )
                self._faults.add("", "too-many-times", message)
                break
        return BusyReading(tuple(sorted(times)), tuple(self._faults.found))

    def _components(self, content: str) -> list[Component]:
        """Take the events and busy times out, and keep the zone descriptions."""
        wanted: list[Component] = []
        for component in read_components(content):
            if component.number > EVENTS_LIMIT:
                message = _(
                    "Only the first %(events_limit)s events are read. Ask for less",
                    events_limit=EVENTS_LIMIT,
                )
                self._faults.add("", "too-many-events", message)
                break
            if component.kind != "VTIMEZONE":
                wanted.append(component)
            elif tzid := component.first("TZID"):
                self._described.setdefault(tzid.value, component)
        if not wanted:
            message = _(
                "It holds no events and no busy times. If there should be some, check that it is "
                "the right calendar"
            )
            self._faults.add("", "nothing-inside", message)
        return wanted

    def _found(self, components: list[Component]) -> Iterator[list[BusyTime]]:
        """Yield the times of each series of events, and of each list of busy times."""
        events = [component for component in components if component.kind == "VEVENT"]
        for group in self._grouped(events).values():
            yield self._times_of(group)
        for component in components:
            if component.kind == "VFREEBUSY":
                yield self._periods_of(component)

    def _periods_of(self, component: Component) -> list[BusyTime]:
        place = f"busy times {component.number}"
        if not component.is_closed:
            self._add(place, "faulty-event", _("It is cut off before its end"))
        uid = component.first("UID")
        times = []
        try:
            for span in read_periods(
                component,
                lambda tzid: self._clock_of(tzid, place),
                self._budget,
                lambda words: self._add(place, "faulty-event", words),
            ):
                if self._meets(span):
                    during = TimeRange(span.starts_at, span.ends_at)
                    times.append(BusyTime(during, "", uid.value.strip() if uid else ""))
        except BudgetError:
            self._too_much(place)
        return times

    def _too_much(self, place: str) -> None:
        message = _("The calendar repeats too much to be read to its end. Ask for less")
        self._add(_("from %(place)s on", place=place), "too-much", message)

    def _grouped(self, components: list[Component]) -> dict[str, list[Event]]:
        """Read the events and put those of one uid together."""
        groups: dict[str, list[Event]] = {}
        for component in components:
            try:
                event = read_event(component)
            except LineError as error:
                self._add(_place(component), "faulty-event", str(error))
                continue
            groups.setdefault(event.uid or f"\n{component.number}", []).append(event)
        return groups

    def _times_of(self, group: list[Event]) -> list[BusyTime]:
        is_plenty = self._budget.left >= EVENT_WORK_LIMIT
        low = self._during.starts_at.astimezone(UTC).replace(tzinfo=None) - _MARGIN
        high = self._during.ends_at.astimezone(UTC).replace(tzinfo=None) + _MARGIN
        place = group[0].place
        try:
            with self._budget.part(EVENT_WORK_LIMIT) as budget:
                spans = SeriesReader(self._clock_of, low, high, budget).spans(group)
        except LineError as error:
            self._add(place, "faulty-event", str(error))
            return []
        except BudgetError:
            if is_plenty:
                message = _(
                    "It repeats too often to be read, and is left out. Ask for a simpler rule"
                )
                self._add(place, "too-often", message)
            else:
                self._too_much(place)
            return []
        except OverflowError:
            self._add(place, "faulty-event", _("Its times are out of reach, and it is left out"))
            return []
        return [
            BusyTime(TimeRange(span.starts_at, span.ends_at), span.title, group[0].uid)
            for span in spans
            if self._meets(span)
        ]

    def _meets(self, span: Span) -> bool:
        return (
            span.starts_at < span.ends_at
            and span.starts_at < self._during.ends_at
            and self._during.starts_at < span.ends_at
        )

    def _clock_of(self, tzid: str, place: str) -> WallClock:
        """Return the clock of a zone's name; blank is the venue's own."""
        if not tzid:
            return ZoneClock(self._zone)
        if tzid not in self._clocks:
            self._clocks[tzid] = self._find_clock(tzid, place)
        found = self._clocks[tzid]
        if found is not None:
            return found
        message = _(
            "Its time zone “%(tzid)s” is not known; the venue's is taken. Check its times",
            tzid=tzid[:40],
        )
        self._add(place, "unknown-zone", message)
        return ZoneClock(self._zone)

    def _find_clock(self, tzid: str, place: str) -> WallClock | None:
        clock = known_clock(tzid)
        if clock is None and tzid in self._described:
            low = self._during.starts_at.replace(tzinfo=None) - _MARGIN
            high = self._during.ends_at.replace(tzinfo=None) + _MARGIN
            try:
                # A described zone is good for the stretch asked for and a year on either side.
                year = timedelta(days=366)
                with self._budget.part(EVENT_WORK_LIMIT) as budget:
                    return described_clock(self._described[tzid], low - year, high + year, budget)
            except (LineError, BudgetError, OverflowError) as error:
                message = str(error) or _("The description of its time zone cannot be read")
                self._add(place, "faulty-zone", message)
        return clock or windows_clock(tzid)

    def _add(self, place: str, code: str, message: str) -> None:
        if not any(each.code == code and place in each.where for each in self._faults.found[-1:]):
            self._faults.add(place, code, message)


def _place(component: Component) -> str:
    title = component.first("SUMMARY")
    return f"event {component.number}" + (f" ({title.value[:40]})" if title else "")
