"""How values of a kind stand in cells of a folder's sheets: exactly, and for people to read."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass
from datetime import UTC, date, datetime
from functools import cache
from typing import TYPE_CHECKING, Any, Protocol, TypeVar

from clubplanner.domain.formulas import guard_cell
from clubplanner.inputs.reading.exact_cells import read_cell, write_cell
from clubplanner.inputs.reading.faults import list_words, show_value
from clubplanner.language import _

if TYPE_CHECKING:
    from enum import StrEnum

    from clubplanner.services.folder.sheets.names import Names

MOST = 2**63 - 1
"""The largest number that a column holds."""
FIRST_YEAR, LAST_YEAR = 1970, 2199
_Day = TypeVar("_Day", bound=date)
_CLOCK = re.compile(r"(\d{1,3}):([0-5]\d)")
_YES, _NO = "yes", "no"


class Kind(Protocol):
    """A kind of value."""

    def write(self, value: Any, names: Names) -> str:
        """Write a value as a cell."""
        ...

    def read(self, cell: str, names: Names) -> Any:
        """Read a cell.

        Raises:
            ValueError: With a message that says what to write.
        """
        ...


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a sheet.

    Attributes:
        header: What it is called there.
        name: What it is called in its table.
        kind: What stands in it.
    """

    header: str
    name: str
    kind: Kind


class Text:
    """Any text, as it is."""

    def write(self, value: str, names: Names) -> str:  # noqa: ARG002 - a kind like others
        """Write it so that no program takes it for something else."""
        return write_cell(value)

    def read(self, cell: str, names: Names) -> str:  # noqa: ARG002
        """Read it back."""
        return read_cell(cell)


@dataclass(frozen=True, slots=True)
class Optional:
    """Another kind, or a blank cell for nothing.

    Attributes:
        kind: The other.
        blank: What nothing is read as.
    """

    kind: Kind
    blank: Any = None

    def write(self, value: Any, names: Names) -> str:
        """Write nothing as a blank cell."""
        return "" if value is None else self.kind.write(value, names)

    def read(self, cell: str, names: Names) -> Any:
        """Read a blank cell as nothing."""
        return self.kind.read(cell, names) if cell.strip() else self.blank


@dataclass(frozen=True, slots=True)
class Whole:
    """A whole number, its ends included."""

    low: int = 0
    high: int = 10**9

    def write(self, value: int, names: Names) -> str:  # noqa: ARG002
        """Write its digits."""
        return str(value)

    def read(self, cell: str, names: Names) -> int:  # noqa: ARG002
        """Read its digits."""
        text = cell.strip()
        if not re.fullmatch(r"-?\d{1,19}", text) or not self.low <= int(text) <= self.high:
            raise ValueError(
                _(
                    "%(words)s will not do; write a whole number from %(low)s to %(high)s",
                    words=show_value(text),
                    low=self.low,
                    high=self.high,
                )
            )
        return int(text)


class Number:
    """A number with a fraction, 0 or more."""

    def write(self, value: float, names: Names) -> str:  # noqa: ARG002
        """Write as many digits as it takes to read the same number."""
        return repr(float(value))

    def read(self, cell: str, names: Names) -> float:  # noqa: ARG002
        """Read it, with a decimal comma as well."""
        text = cell.strip().replace(",", ".")
        if not re.fullmatch(r"\d{1,20}(\.\d{1,20})?(e[+-]?\d{1,2}|e-\d{3})?", text):
            words = _("%(words)s is no number; write one like 12.5", words=show_value(text))
            raise ValueError(words)
        return float(text)


class YesNo:
    """Yes or no; a blank cell says no."""

    def write(self, value: bool, names: Names) -> str:  # noqa: ARG002
        """Write the word."""
        return _YES if value else _NO

    def read(self, cell: str, names: Names) -> bool:  # noqa: ARG002
        """Read the word."""
        word = cell.strip().lower()
        if word not in (_YES, _NO, ""):
            raise ValueError(
                _("%(words)s is neither yes nor no; write yes or no", words=show_value(word))
            )
        return word == _YES


class Day:
    """A date."""

    def write(self, value: date, names: Names) -> str:  # noqa: ARG002
        """Write year, month and day."""
        return value.isoformat()

    def read(self, cell: str, names: Names) -> date:  # noqa: ARG002
        """Read year, month and day."""
        try:
            return _within_years(date.fromisoformat(cell.strip()))
        except ValueError as fault:
            words = _(
                "%(words)s is not a date; write it like 2026-11-28", words=show_value(cell.strip())
            )
            raise ValueError(words) from fault


class Clock:
    """Minutes after midnight as a time of day; 25:30 is in the night after."""

    def write(self, value: int, names: Names) -> str:  # noqa: ARG002
        """Write hours and minutes."""
        return f"{value // 60:02d}:{value % 60:02d}"

    def read(self, cell: str, names: Names) -> int:  # noqa: ARG002
        """Read hours and minutes."""
        match = _CLOCK.fullmatch(cell.strip())
        if match is None:
            raise ValueError(
                _("%(words)s is no time; write it like 17:30", words=show_value(cell.strip()))
            )
        return int(match[1]) * 60 + int(match[2])


@dataclass(frozen=True, slots=True)
class Instant:
    """An instant: what the club's clocks show, and how far they are from UTC (ISO 8601).

    Attributes:
        is_now: Whether a blank cell means the present instant.
    """

    is_now: bool = False

    def write(self, value: datetime, names: Names) -> str:
        """Write date, time and what the clocks are ahead."""
        exactly = "seconds" if value.second else "minutes"
        try:
            return value.astimezone(names.zone).isoformat(" ", exactly)
        except OverflowError:
            return value.isoformat(" ", exactly)

    def read(self, cell: str, names: Names) -> datetime:
        """Read them; without what the clocks are ahead it is the club's time."""
        text = cell.strip()
        if not text and self.is_now and names.now is not None:
            return names.now
        try:
            read = datetime.fromisoformat(text)
            found = read if read.tzinfo is not None else read.replace(tzinfo=names.zone)
            return _within_years(found.astimezone(UTC)).replace(microsecond=0)
        except (ValueError, OverflowError) as fault:
            words = _(
                "%(words)s is no date with a time; write it like 2026-11-28 17:30",
                words=show_value(text),
            )
            raise ValueError(words) from fault


@dataclass(frozen=True, slots=True)
class Word:
    """One of some words.

    Attributes:
        words: Those it can be: all of a kind, or some.
    """

    words: type[StrEnum] | tuple[StrEnum, ...]

    def write(self, value: str, names: Names) -> str:  # noqa: ARG002
        """Write the word."""
        return str(value)

    def read(self, cell: str, names: Names) -> str:  # noqa: ARG002
        """Read the word, as plain text."""
        text, known = cell.strip().lower(), _values_of(self.words)
        if text not in known:
            raise ValueError(
                _(
                    "%(words)s is not known here; write %(known)s",
                    words=show_value(text),
                    known=list_words(known),
                )
            )
        return text


@dataclass(frozen=True, slots=True)
class Ref:
    """Another record, by what it is called."""

    table: str

    def write(self, value: int, names: Names) -> str:
        """Write what it is called."""
        return write_cell(names.texts[self.table][value])

    def read(self, cell: str, names: Names) -> int:
        """Find it."""
        return names.find(self.table, read_cell(cell))


class Json:
    """Words by what they are about, as JSON."""

    def write(self, value: Any, names: Names) -> str:  # noqa: ARG002
        """Write it on one line; signs beyond ASCII are escaped where they are no text."""
        return guard_cell(json_words(value))

    def read(self, cell: str, names: Names) -> Any:  # noqa: ARG002
        """Read an object."""
        try:
            found = json.loads(cell)
        except (ValueError, RecursionError) as fault:
            raise ValueError(_("The cell holds no JSON; leave it as it was written")) from fault
        if not isinstance(found, dict) or not all(isinstance(v, str) for v in found.values()):
            raise ValueError(_("The cell holds no JSON; leave it as it was written"))
        return found


@cache
def _values_of(words: type[StrEnum] | tuple[StrEnum, ...]) -> tuple[str, ...]:
    return tuple(word.value for word in words)


def _within_years(day: _Day) -> _Day:
    """Return a date, or an instant, of a year that a club has lived in or plans.

    Raises:
        ValueError: If it is another's.
    """
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        raise ValueError(day)
    return day


def json_words(value: Any, indent: int | None = None) -> str:
    """Write JSON in plain letters, or with escapes where a text holds half a sign."""
    words = json.dumps(value, ensure_ascii=False, indent=indent)
    try:
        words.encode()
    except UnicodeEncodeError:
        return json.dumps(value, indent=indent)
    return words
