"""Foreign calendars, taken apart: text in, events, busy times and zone descriptions as lines out.

Only what tells when somebody is busy is kept (RFC 5545, section 3.4 and on); the rest of a file,
such as pictures and reminders, is passed over. Whatever the bytes are, this ends, and a fault in
one place costs nothing elsewhere.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace
from datetime import datetime, time, timedelta
from typing import TYPE_CHECKING

from clubplanner.language import _

if TYPE_CHECKING:
    from collections.abc import Iterator

SIZE_LIMIT = 5_000_000
"""Octets of a calendar (common practice, no source)."""
EVENTS_LIMIT = 20_000
"""Events and zone descriptions of a calendar (common practice, no source)."""
LINE_LIMIT = 20_000
"""Characters of a line that matters; a longer one is a fault of its event, but a title is cut."""
PERIODS_LIMIT = 1_000_000
"""Characters of a line of busy times, which may hold those of a whole year."""
EXCHANGE_STATUS = "X-MICROSOFT-CDO-BUSYSTATUS"

_TIME_LINES = ("DTSTART", "DTEND", "DURATION", "RRULE", "RDATE", "EXDATE", "RECURRENCE-ID")
_EVENT_LINES = ("UID", "STATUS", "TRANSP", EXCHANGE_STATUS, "SUMMARY", "SEQUENCE", "DTSTAMP")
_PERIODS = "FREEBUSY"
_ZONE_LINES = ("TZID", "TZOFFSETFROM", "TZOFFSETTO")
_WANTED = frozenset((*_TIME_LINES, *_EVENT_LINES, *_ZONE_LINES, _PERIODS))
_TOP = ("VEVENT", "VFREEBUSY", "VTIMEZONE")
_PARTS = ("STANDARD", "DAYLIGHT")
_BREAK = re.compile("\r\n|\n|\r")
_NAME = re.compile(r"[A-Za-z0-9-]+")
_PARAMETER = re.compile(r';([A-Za-z0-9-]+)=("[^"]*"|[^";:]*)')
_TIME = re.compile(r"(\d{4})(\d\d)(\d\d)(?:T(\d\d)(\d\d)(\d\d)(Z)?)?", re.ASCII)
_DURATION = re.compile(
    r"([+-]?)P(?=.)(?:(\d{1,6})W)?(?:(\d{1,6})D)?"
    r"(?:T(?=.)(?:(\d{1,6})H)?(?:(\d{1,6})M)?(?:(\d{1,8})S)?)?",
    re.ASCII,
)
_OFFSET = re.compile(r"([+-])(\d\d)(\d\d)(\d\d)?", re.ASCII)
_DAY_HOURS = 24


class LineError(ValueError):
    """A line that cannot be read; the message is for the person whose calendar it is."""


@dataclass(frozen=True, slots=True)
class Line:
    """One property.

    Attributes:
        name: In capitals.
        parameters: Names in capitals; values without quotes.
        value: As written.
    """

    name: str
    parameters: dict[str, str]
    value: str


@dataclass(slots=True)
class Component:
    """An event, a zone description, or one half of such a description.

    Attributes:
        kind: "VEVENT", "VFREEBUSY", "VTIMEZONE", "STANDARD" or "DAYLIGHT".
        number: Which of its file, from 1.
        lines: In the order of the file.
        parts: Halves of a zone description.
        is_closed: Whether its END was met; an END inside one that was passed over does not count.
        faults: Lines that could not be read, as messages.
    """

    kind: str
    number: int
    lines: list[Line] = field(default_factory=list)
    parts: list[Component] = field(default_factory=list)
    is_closed: bool = False
    faults: list[str] = field(default_factory=list)

    def first(self, name: str) -> Line | None:
        """Return the first line of a name, or None."""
        return next((line for line in self.lines if line.name == name), None)

    def every(self, name: str) -> list[Line]:
        """Return all lines of a name."""
        return [line for line in self.lines if line.name == name]


@dataclass(frozen=True, slots=True)
class WallTime:
    """A date, or a time on a wall clock, as a line gives it.

    Attributes:
        wall: Without a zone; midnight of a date.
        is_date: Whether it is a whole day.
        is_utc: Whether the clock shows UTC.
        tzid: Name of the zone; blank for UTC, a date and floating time.
    """

    wall: datetime
    is_date: bool = False
    is_utc: bool = False
    tzid: str = ""

    def at(self, wall: datetime) -> WallTime:
        """Return another time on the same clock; of a whole day its midnight."""
        if self.is_date:
            wall = datetime.combine(wall.date(), time())
        return replace(self, wall=wall)

    def has_clock_of(self, other: WallTime) -> bool:
        """Tell whether two times are told on one clock."""
        return self.at(other.wall) == other


@dataclass(frozen=True, slots=True)
class Nominal:
    """A length in days on the calendar and seconds on the clock (RFC 5545, section 3.3.6)."""

    days: int = 0
    seconds: int = 0


class _Splitter:
    """Takes a calendar apart, line by line.

    Attributes:
        current: The event or zone description being read, if any.
    """

    def __init__(self) -> None:
        self.current: Component | None = None
        self._part: Component | None = None
        self._passed_over: list[str] = []
        self._number = 0

    def begin(self, kind: str) -> Iterator[Component]:
        """Go into a component; an event left open before it is handed out as it is."""
        if kind in _TOP:
            if self.current is not None:
                yield self.current
            self._number += 1
            self.current, self._part, self._passed_over = Component(kind, self._number), None, []
        elif self.current is not None and not self._passed_over and kind in _PARTS:
            self._part = Component(kind, self._number)
            self.current.parts.append(self._part)
        elif self.current is not None:
            self._passed_over.append(kind)

    def end(self, kind: str) -> Iterator[Component]:
        """Come out of a component; an event or zone description is handed out."""
        if self._passed_over:
            if kind == self._passed_over[-1]:
                self._passed_over.pop()
            return
        if self._part is not None and kind == self._part.kind:
            self._part.is_closed, self._part = True, None
        elif self.current is not None and kind == self.current.kind:
            self.current.is_closed = True
            yield self.current
            self.current, self._part = None, None

    def keep(self, name: str, text: str) -> None:
        """Keep a line of the event or zone description being read."""
        if self.current is not None and not self._passed_over:
            _keep(self._part or self.current, name, text)


def read_components(content: str) -> Iterator[Component]:
    """Take the events, busy times and zone descriptions out of a calendar.

    Args:
        content: Any text.

    Yields:
        Components in the order of the file.
    """
    splitter = _Splitter()
    for text in _unfolded(content):
        name, value = _keyword(text)
        if name == "BEGIN":
            yield from splitter.begin(value)
        elif name == "END":
            yield from splitter.end(value)
        elif name in _WANTED:
            splitter.keep(name, text)
    if splitter.current is not None:
        yield splitter.current


def read_time(value: str, parameters: dict[str, str]) -> WallTime:
    """Read a DATE or DATE-TIME (RFC 5545, sections 3.3.4 and 3.3.5).

    Raises:
        LineError: If it is neither.
    """
    found = _TIME.fullmatch(value.strip())
    if not found:
        raise LineError(
            _("“%(value)s” is no date or time such as 20260908T183000", value=value[:40])
        )
    numbers = [int(part) for part in found.groups()[:6] if part is not None]
    if len(numbers) > 3:
        # A leap second is read as the second before it.
        numbers[5] = min(numbers[5], 59)
    try:
        wall = datetime(*numbers)  # type: ignore[arg-type]  # noqa: DTZ001 - a wall clock's
    except ValueError as error:
        raise LineError(
            _("“%(value)s” is no date or time that exists", value=value[:40])
        ) from error
    is_date, is_utc = len(numbers) == 3, found[7] is not None
    tzid = "" if is_date or is_utc else parameters.get("TZID", "")
    return WallTime(wall, is_date, is_utc, tzid)


def read_duration(value: str) -> Nominal:
    """Read a DURATION (RFC 5545, section 3.3.6).

    Raises:
        LineError: If it is none, or runs backwards.
    """
    found = _DURATION.fullmatch(value.strip())
    if not found or found[1] == "-":
        raise LineError(_("“%(value)s” is no length of time such as PT1H30M", value=value[:40]))
    weeks, days, hours, minutes, seconds = (int(part or 0) for part in found.groups()[1:])
    return Nominal(weeks * 7 + days, hours * 3600 + minutes * 60 + seconds)


def read_offset(value: str) -> timedelta:
    """Read an offset from UTC such as "+0100" (RFC 5545, section 3.3.14).

    Raises:
        LineError: If it is none.
    """
    found = _OFFSET.fullmatch(value.strip())
    if not found or int(found[2]) >= _DAY_HOURS:
        raise LineError(_("“%(value)s” is no offset from UTC such as +0100", value=value[:40]))
    size = timedelta(hours=int(found[2]), minutes=int(found[3]), seconds=int(found[4] or 0))
    return -size if found[1] == "-" else size


def unescape(value: str) -> str:
    """Read a TEXT value (RFC 5545, section 3.3.11)."""
    return re.sub(r"\\(.)", lambda found: "\n" if found[1] in "nN" else found[1], value)


def _unfolded(text: str) -> Iterator[str]:
    """Yield the content lines; a line that starts with a blank goes on from the one before."""
    pieces: list[str] = []
    length, limit = 0, LINE_LIMIT
    for line in _BREAK.split(text):
        if line[:1] in {" ", "\t"} and pieces:
            if length < limit:
                pieces.append(line[1:])
                length += len(line)
            continue
        if pieces:
            yield "".join(pieces)
        limit = _limit(line)
        pieces, length = [line[:limit]], len(line)
    yield "".join(pieces)


def _limit(text: str) -> int:
    return PERIODS_LIMIT if text[: len(_PERIODS)].upper() == _PERIODS else LINE_LIMIT


def _keyword(text: str) -> tuple[str, str]:
    """Return a line's name, and for BEGIN and END what begins or ends, both in capitals."""
    found = _NAME.match(text)
    name = found[0].upper() if found else ""
    value = text.partition(":")[2].strip().upper() if name in {"BEGIN", "END"} else ""
    return name, value


def _keep(component: Component, name: str, text: str) -> None:
    parameters: dict[str, str] = {}
    at = len(name)
    while found := _PARAMETER.match(text, at):
        parameters[found[1].upper()] = found[2].strip('"')
        at = found.end()
    if text[at : at + 1] != ":":
        component.faults.append(_("The line “%(words)s” cannot be read", words=text[:40]))
        return
    if len(text) >= _limit(text) and name != "SUMMARY":
        component.faults.append(_("The line “%(words)s…” is too long", words=text[:40]))
        return
    component.lines.append(Line(name, parameters, text[at + 1 :]))
