"""Reading fixtures from a CSV file, a row a match at home."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from clubplanner.domain.times.times import minute_from_clock
from clubplanner.inputs.reading.faults import Faults, list_words, show_value
from clubplanner.inputs.reading.rows import Row, read_rows
from clubplanner.language import _

if TYPE_CHECKING:
    from collections.abc import Collection

    from clubplanner.domain.problems import Problem

COLUMNS = (
    "date",
    "kick-off",
    "squad",
    "opponent",
    "format",
    "minutes",
    "warm-up",
    "changeover",
    "pitch",
    "officials",
    "opponents",
    "note",
)
REQUIRED = ("date", "kick-off", "squad", "opponent")
FIRST_YEAR, LAST_YEAR = 2000, 2199


@dataclass(frozen=True, slots=True)
class FixtureLine:
    """A fixture as it stands in a file; what is left out is None or blank.

    Attributes:
        row: The row of the file.
        squad: Key or name of the squad.
        minutes: Kick-off to the end, half-time included.

    The other fields are those of `clubplanner.domain.booked.fixtures.Fixture`.
    """

    row: int
    squad: str
    day: date
    kick_off_from: int
    kick_off_to: int
    opponent: str
    format_code: str
    minutes: int | None
    warm_up_minutes: int | None
    after_minutes: int | None
    pitch_name: str
    officials: str
    opponents: str
    note: str


@dataclass(frozen=True, slots=True)
class FixturesRead:
    """What a fixtures file gave: complete only when there is no problem."""

    lines: tuple[FixtureLine, ...]
    problems: tuple[Problem, ...]


def is_fixture_table(text: str) -> bool:
    """Tell by its first row whether a table is one of fixtures."""
    first = text.lstrip().partition("\n")[0].lower()
    return all(column in first for column in ("kick-off", "opponent"))


def read_fixtures(text: str, file_name: str, format_codes: Collection[str]) -> FixturesRead:
    """Read a fixtures file; every fault in it is reported at once.

    Args:
        text: The whole file.
        file_name: How to call it in problems.
        format_codes: Forms of the game that may be named.
    """
    faults = Faults(file_name)
    read = read_rows(text, faults, COLUMNS, REQUIRED, beginning=COLUMNS[0])
    rows = [_Row(number, cells, faults) for number, cells in read.rows]
    lines = [line for row in rows if (line := _read_line(row, format_codes)) is not None]
    if not rows and not faults.found:
        faults.add("", "empty", _("No fixture follows the header; write one match a row"))
    return FixturesRead(tuple(lines), tuple(faults.found))


class _Row(Row):
    """A row of the file; its readers note faults and return something harmless instead."""

    __slots__ = ()

    def text(self, column: str, most: int = 200) -> str:
        """Return a text, stripped, inner spaces single; blank when absent."""
        value = " ".join(self.cells.get(column, "").split())
        if len(value) > most:
            self.fault(
                column,
                "too-long",
                _(
                    "The text has %(value)s letters; use at most %(most)s",
                    value=len(value),
                    most=most,
                ),
            )
        return value

    def whole(self, column: str, low: int, high: int, default: int | None) -> int | None:
        """Return a whole number from low to high; the default when the cell is blank."""
        text = self.text(column)
        if not text:
            return default
        if not re.fullmatch(r"\d{1,9}", text) or not low <= int(text) <= high:
            self.fault(
                column,
                "not-a-number",
                _(
                    "%(words)s will not do; write %(low)s to %(high)s",
                    words=show_value(text),
                    low=low,
                    high=high,
                ),
            )
            return default
        return int(text)

    def day(self, column: str) -> date:
        """Return a date written year-month-day, or day/month/year."""
        text = self.text(column)
        match = re.fullmatch(r"(\d{1,2})[/.](\d{1,2})[/.](\d{4})", text)
        try:
            if match:
                day = date(int(match[3]), int(match[2]), int(match[1]))
            else:
                day = date.fromisoformat(text)
        except ValueError:
            day = date.min
        if not FIRST_YEAR <= day.year <= LAST_YEAR:
            self.fault(
                column,
                "not-a-date",
                _(
                    "%(words)s is not a date; write it like 2026-11-28 or 28/11/2026",
                    words=show_value(text),
                ),
            )
        return day

    def span(self, column: str) -> tuple[int, int]:
        """Return minutes of one time ("14:00") or of a span of times ("10:00-14:00")."""
        text = self.text(column).replace("–", "-")
        first, _unused, last = text.partition("-")
        try:
            start = minute_from_clock(first)
            end = minute_from_clock(last) if last else start
        except ValueError:
            self.fault(
                column,
                "not-a-time",
                _(
                    "%(words)s is no time; write 14:00, or 10:00-14:00 for a span",
                    words=show_value(text),
                ),
            )
            return 0, 0
        if end < start:
            self.fault(
                column,
                "out-of-range",
                _("%(words)s runs backwards; turn it round", words=show_value(text)),
            )
        return start, end


def _read_line(row: _Row, format_codes: Collection[str]) -> FixtureLine | None:
    squad, opponent = row.text("squad", 80), row.text("opponent", 80)
    for column, text in (("squad", squad), ("opponent", opponent)):
        if not text:
            row.fault(
                column, "missing", _("The %(column)s is missing; write its name", column=column)
            )
    code = row.text("format")
    if code and code not in format_codes:
        row.fault(
            "format",
            "unknown",
            _(
                "%(code)s is not a known form of the game; write %(format_codes)s, or leave "
                "it blank",
                code=show_value(code),
                format_codes=list_words(sorted(format_codes)),
            ),
        )
    start, end = row.span("kick-off")
    line = FixtureLine(
        row=row.number,
        squad=squad,
        day=row.day("date"),
        kick_off_from=start,
        kick_off_to=end,
        opponent=opponent,
        format_code=code,
        minutes=row.whole("minutes", 5, 300, None),
        warm_up_minutes=row.whole("warm-up", 0, 120, None),
        after_minutes=row.whole("changeover", 0, 120, None),
        pitch_name=row.text("pitch", 80),
        officials=row.text("officials"),
        opponents=row.text("opponents"),
        note=row.text("note"),
    )
    return None if row.faulty else line
