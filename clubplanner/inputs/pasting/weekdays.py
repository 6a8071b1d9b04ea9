"""Days with times as people write them: "Montag", "Mo+Mi 17.30–19 Uhr", "Mon/Wed 7-9pm".

The text is taken apart into days, times and what joins them, and put together as groups: days, then
the times that hold for all of them. What is no part of that is named, piece by piece.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from clubplanner.domain.searching import plain_word
from clubplanner.domain.times.day_words import weekday_of
from clubplanner.domain.times.times import MINUTES_A_DAY, WEEKDAYS, Window, clock_from_minute
from clubplanner.domain.times.windows import (
    EXAMPLE,
    join_windows,
    parse_days,
    parse_windows,
    told_days,
    write_windows,
)
from clubplanner.inputs.pasting.clocks import CLOCK, DASH, Clock, clock_of, span_of
from clubplanner.inputs.pasting.reading import Reading, words_of
from clubplanner.inputs.reading.faults import list_words, show_value
from clubplanner.language import _

if TYPE_CHECKING:
    from collections.abc import Iterable

Span = tuple[int, int]
ALL_DAY: Span = (0, MINUTES_A_DAY)

_GERMAN = ("mo", "di", "mi", "do", "fr", "sa", "so")
_JOINED = re.compile(rf"(?:{'|'.join(_GERMAN)}){{2,}}")
GROUPS = {
    **dict.fromkeys(("weekdays", "weekday", "werktags", "werktage", "wochentags"), range(5)),
    **dict.fromkeys(("weekend", "weekends", "wochenende", "wochenenden"), range(5, 7)),
    **dict.fromkeys(("daily", "taglich", "everyday"), range(7)),
}
_EVERY_DAY = re.compile(r"\b(?:every|any|jeden)\s+(?:day|tag)\b", re.IGNORECASE)
_FILLERS = words_of(
    "on every each am jeden jeder jede immer always von from vom ab since starting und and sowie "
    "uhr between zwischen je jeweils at um the"
)
_FROM = frozenset(("ab", "from", "starting", "since"))
_UNTIL = re.compile(DASH, re.IGNORECASE)
_PIECE = re.compile(
    rf"(?P<clock>{CLOCK.pattern})|(?P<dash>{DASH})|(?P<end>[;\n])|(?P<join>[,/+&|()]|\.(?!\d))"
    r"|(?P<word>[^\W\d_]+)|(?P<other>\S)",
    re.IGNORECASE,
)


@dataclass(slots=True)
class _Group:
    days: list[int] = field(default_factory=list)
    spans: list[tuple[Span, ...]] = field(default_factory=list)


@dataclass(slots=True)
class _Parts:
    """What was found in a text so far."""

    groups: list[_Group] = field(default_factory=lambda: [_Group()])
    faults: list[str] = field(default_factory=list)
    started: tuple[Clock, str] | None = None
    dash: bool = False
    opens: bool = False
    last: str = ""

    @property
    def group(self) -> _Group:
        return self.groups[-1]

    def fault(self, piece: str) -> None:
        self.faults.append(
            _(
                "%(words)s is not understood; write days and times like %(example)s",
                words=show_value(piece),
                example=told_days(EXAMPLE),
            )
        )

    def close(self) -> None:
        """End a time that has no end: "from 18:30" runs on, a time alone is asked about."""
        if self.started is None:
            return
        clock, written = self.started
        self.started = None
        if self.opens:
            self.group.spans.append(((clock.minute, MINUTES_A_DAY),))
        elif self.dash and self.last == "until":
            self.group.spans.append(((0, clock.minute or MINUTES_A_DAY),))
        else:
            self.faults.append(
                _(
                    "%(words)s is one time; write from when to when, like 17:30-19:00",
                    words=show_value(written),
                )
            )
        self.opens = self.dash = False

    def next_group(self) -> None:
        self.close()
        if self.group.days or self.group.spans:
            self.groups.append(_Group())
        self.last = ""

    def add_days(self, days: Iterable[int]) -> None:
        found = list(days)
        if self.dash and self.last == "day" and self.group.days:
            first = self.group.days[-1]
            found = [(first + step) % 7 for step in range(1, (found[0] - first) % 7 + 1)]
            self.dash = False
        elif self.started is not None or self.group.spans:
            self.next_group()
        self.group.days += found
        self.last, self.dash = "day", False

    def add_clock(self, clock: Clock, written: str) -> None:
        if self.started is not None and self.dash:
            spans = span_of(self.started[0], clock)
            if not spans:
                whole = f"{self.started[1]}-{written}"
                self.faults.append(
                    _("%(words)s ends before it starts; turn it round", words=show_value(whole))
                )
            else:
                self.group.spans.append(spans)
            self.started, self.dash, self.opens = None, False, False
        else:
            until = self.dash and self.started is None
            self.close()
            self.started, self.dash = (clock, written), until
            self.last = "until" if until else "clock"


def read_windows(text: str) -> Reading:
    """Read days with times as the files write them; days without a time are whole days."""
    try:
        return Reading(write_windows(parse_windows(text)))
    except ValueError:
        parts = _take_apart(text)
    faults = list(parts.faults)
    groups = [group for group in parts.groups if group.days or group.spans]
    if not faults and any(not group.days for group in groups):
        times = list_words(_told_spans([g for g in groups if not g.days]))
        faults.append(_("%(times)s has no day; write on which days", times=times))
    if not groups and not faults and text.strip():
        parts.fault(text.strip())
        faults = parts.faults
    if faults:
        return Reading(faults=tuple(faults))
    unsure = [spans for group in groups for spans in group.spans if len(spans) > 1]
    readings = [_written(groups, which) for which in ((0, -1) if unsure else (0,))]
    if unsure:
        fault = _("%(words)s can be morning or evening; write which", words=show_value(text))
        return Reading(faults=(fault,), choices=tuple(dict.fromkeys(readings)))
    return Reading(readings[0])


def read_days(text: str) -> Reading:
    """Read weekdays alone, as "Mon, Wed"."""
    try:
        return Reading(_write_days(parse_days(text)))
    except ValueError:
        parts = _take_apart(text)
    days = [day for group in parts.groups for day in group.days]
    faults = list(parts.faults)
    if any(group.spans for group in parts.groups):
        faults.append(_("There are times in %(words)s; write days alone", words=show_value(text)))
    if not days and not faults:
        parts.fault(text.strip())
        faults = parts.faults
    return Reading(faults=tuple(faults)) if faults else Reading(_write_days(days))


def read_spans(text: str) -> Reading:
    """Read times without days, as "17:30-19:00; 18:00-19:30"."""
    parts = _take_apart(text)
    faults = list(parts.faults)
    if any(group.days for group in parts.groups):
        fault = _("There are days in %(words)s; write times alone", words=show_value(text))
        faults.append(fault)
    spans = [spans for group in parts.groups for spans in group.spans]
    if not spans and not faults:
        parts.fault(text.strip())
        faults = parts.faults
    if faults:
        return Reading(faults=tuple(faults))
    if any(len(one) > 1 for one in spans):
        choices = ("; ".join(_clocks(one[n]) for one in spans) for n in (0, -1))
        fault = _("%(words)s can be morning or evening; write which", words=show_value(text))
        return Reading(faults=(fault,), choices=tuple(dict.fromkeys(choices)))
    return Reading("; ".join(_clocks(one[0]) for one in spans))


def days_of(text: str) -> list[int]:
    """Return the weekdays that a text names in order, in German or English; none if it names none.

    What else stands in the text does not count.
    """
    return [day for group in _take_apart(text).groups for day in group.days]


def _take_apart(text: str) -> _Parts:
    parts = _Parts()
    for found in _PIECE.finditer(_EVERY_DAY.sub("daily", text)):
        if found["clock"]:
            clock = clock_of(found)
            if clock is None:
                parts.close()
                parts.fault(found["clock"].strip())
            else:
                parts.add_clock(clock, found["clock"].strip())
        elif found["dash"]:
            parts.dash = True
        elif found["end"]:
            parts.next_group()
        elif found["join"]:
            if parts.started is not None and not parts.dash:
                parts.close()
        elif found["word"]:
            _take_word(parts, found["word"])
        else:
            parts.fault(found["other"])
    parts.close()
    return parts


def _take_word(parts: _Parts, word: str) -> None:
    plain = plain_word(word)
    day = weekday_of(word)
    if day is not None:
        parts.add_days([day])
    elif plain in GROUPS:
        parts.add_days(GROUPS[plain])
    elif _JOINED.fullmatch(plain):
        parts.add_days(_GERMAN.index(plain[n : n + 2]) for n in range(0, len(plain), 2))
    elif plain in _FROM:
        parts.close()
        parts.opens = True
    elif plain not in _FILLERS:
        parts.fault(word)


def _written(groups: Iterable[_Group], which: int) -> str:
    windows = {
        Window(day, *span)
        for group in groups
        for day in group.days
        for span in ([spans[which] for spans in group.spans] or [ALL_DAY])
    }
    return write_windows(join_windows(tuple(sorted(windows))))


def _told_spans(groups: Iterable[_Group]) -> list[str]:
    return [show_value(_clocks(spans[0])) for group in groups for spans in group.spans]


def _clocks(span: Span) -> str:
    return f"{clock_from_minute(span[0])}-{clock_from_minute(span[1])}"


def _write_days(days: Iterable[int]) -> str:
    return ", ".join(WEEKDAYS[day][:3] for day in sorted(set(days)))
