"""Events of a foreign calendar as values."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.inputs.calendars.calendar_lines import (
    EXCHANGE_STATUS,
    Component,
    Line,
    LineError,
    Nominal,
    WallTime,
    read_duration,
    read_time,
    unescape,
)
from clubplanner.inputs.calendars.recurrence_rules import Rule, read_rule
from clubplanner.language import _

if TYPE_CHECKING:
    from collections.abc import Iterator

TITLE_LIMIT = 200
"""Characters of a title."""
_UNSEEN = {"Cc", "Cf", "Cs"}
_EXCHANGE_STATUSES = frozenset({"FREE", "TENTATIVE", "BUSY", "OOF"})
"""MS-OXCICAL, section 2.1.3.1.1.20.31; only the first leaves the time free."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """One VEVENT.

    Attributes:
        place: Where it stands in the file, in words.
        uid: May be blank.
        title: One line.
        start: When it starts.
        end: When it ends; None where `length` says so.
        length: How long it takes.
        is_free: It leaves the time free: cancelled, or marked as free.
        rank: SEQUENCE and DTSTAMP; of two versions the higher holds (RFC 5546, section 2.1.5).
        rules: RRULE lines.
        added: RDATE lines.
        left_out: EXDATE lines.
        replaces: RECURRENCE-ID: which date of the series it stands for; None for a series.
        is_onward: It stands for all later dates too (RANGE=THISANDFUTURE).
    """

    place: str
    uid: str
    title: str
    start: WallTime
    end: WallTime | None
    length: Nominal
    is_free: bool
    rank: tuple[int, str]
    rules: tuple[Rule, ...]
    added: tuple[Line, ...]
    left_out: tuple[Line, ...]
    replaces: WallTime | None
    is_onward: bool


def read_event(component: Component) -> Event:
    """Read an event.

    Raises:
        LineError: With the first fault, in words.
    """
    if component.faults:
        raise LineError(component.faults[0])
    if not component.is_closed:
        raise LineError(_("It is cut off before its end"))
    start_line = component.first("DTSTART")
    if start_line is None:
        raise LineError(_("It does not say when it starts"))
    start = read_time(start_line.value, start_line.parameters)
    end, length = _end_of(component, start)
    replaces = component.first("RECURRENCE-ID")
    title = _title(component)
    rules = [read_rule(line.value) for line in component.every("RRULE")]
    return Event(
        place=f"event {component.number}" + (f" ({title[:40]})" if title else ""),
        uid=_value(component, "UID").strip(),
        title=title,
        start=start,
        end=end,
        length=length,
        is_free=_is_free(component),
        rank=(_sequence(component), _value(component, "DTSTAMP")),
        rules=tuple(rule.for_days() if start.is_date else rule for rule in rules),
        added=tuple(component.every("RDATE")),
        left_out=tuple(component.every("EXDATE")),
        replaces=read_time(replaces.value, replaces.parameters) if replaces else None,
        is_onward=replaces is not None and replaces.parameters.get("RANGE") == "THISANDFUTURE",
    )


def times_in(lines: tuple[Line, ...]) -> Iterator[tuple[WallTime, WallTime | Nominal | None]]:
    """Yield the times of RDATE and EXDATE lines; for a period also its end or its length.

    Raises:
        LineError: If one cannot be read.
    """
    for line in lines:
        for value in line.value.split(","):
            start, mark, rest = value.strip().partition("/")
            end: WallTime | Nominal | None = None
            if mark:
                is_length = rest[:1].upper() in {"P", "+"}
                end = read_duration(rest) if is_length else read_time(rest, line.parameters)
            yield read_time(start, line.parameters), end


def _end_of(component: Component, start: WallTime) -> tuple[WallTime | None, Nominal]:
    """Return the end, or the length that stands for it (RFC 5545, section 3.6.1)."""
    if line := component.first("DTEND"):
        end = read_time(line.value, line.parameters)
        if end.is_date != start.is_date:
            raise LineError(_("It starts on a date and ends at a time, or the other way round"))
        return end, Nominal()
    if line := component.first("DURATION"):
        return None, read_duration(line.value)
    return None, Nominal(days=1 if start.is_date else 0)


def _is_free(component: Component) -> bool:
    """Tell whether an event leaves the time free: cancelled, or marked so.

    Where Exchange says what it holds of the time, that counts and not TRANSP, which is only its
    rough translation into two words (MS-OXCICAL, section 2.1.3.1.1.20.25). A word of Exchange's
    that nobody knows is passed over.
    """
    if _word(component, "STATUS") == "CANCELLED":
        return True
    exchange = _word(component, EXCHANGE_STATUS)
    if exchange in _EXCHANGE_STATUSES:
        return exchange == "FREE"
    return _word(component, "TRANSP") == "TRANSPARENT"


def _word(component: Component, name: str) -> str:
    return _value(component, name).strip().upper()


def _sequence(component: Component) -> int:
    text = _value(component, "SEQUENCE").strip()
    return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else 0


def _value(component: Component, name: str) -> str:
    line = component.first(name)
    return line.value if line is not None else ""


def _title(component: Component) -> str:
    """Return the title on one line, without controls."""
    words = unescape(_value(component, "SUMMARY")).split()
    text = " ".join(words)
    return "".join(each for each in text if unicodedata.category(each) not in _UNSEEN)[:TITLE_LIMIT]
