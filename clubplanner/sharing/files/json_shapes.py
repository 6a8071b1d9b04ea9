"""Shapes of simple JSON values: each reads, writes and describes one kind of value.

Reading never stops at the first fault: a faulty value is noted with its place and a harmless
stand-in goes on in its stead, so that all faults of a file come to light at once. Places are JSON
paths as in RFC 9535: `$.asks[3].minutes`.
"""

from __future__ import annotations

import json
import re
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction
from typing import TYPE_CHECKING, Any, Protocol

from clubplanner.domain.problems import Problem as Fault

if TYPE_CHECKING:
    from enum import StrEnum

LONGEST_TEXT = 500
"""Letters that a text of a file may have, unless it says otherwise."""
LONGEST_SHOWN = 60
"""Letters of a value that a message repeats."""
LARGEST_SHOWN = 10**30

_NAME = re.compile(r"^[A-Za-z_][A-Za-z0-9_]*$")
_DATE = re.compile(r"^[0-9]{4}-[0-9]{2}-[0-9]{2}$")
_FRACTION = re.compile(r"^[0-9]{1,9}/[1-9][0-9]{0,8}$")
_UNWRITABLE = re.compile("[\x00-\x1f\x7f\ud800-\udfff]")


@dataclass(slots=True)
class Faults:
    """The faults of one file so far, in order of finding.

    Attributes:
        found: The faults.
    """

    found: list[Fault] = field(default_factory=list)

    def add(self, path: str, code: str, message: str) -> None:
        """Note a fault at a place."""
        self.found.append(Fault(path, code, message))

    def has_under(self, path: str) -> bool:
        """Tell whether a fault stands at a place or within it."""
        return any(
            fault.where == path or fault.where.startswith((f"{path}.", f"{path}["))
            for fault in self.found
        )


class Shape(Protocol):
    """One kind of JSON value and the Python value that it stands for."""

    def read(self, value: object, path: str, faults: Faults) -> Any:
        """Turn a JSON value into its Python value, or note faults and return a stand-in."""
        ...

    def write(self, value: Any) -> object:
        """Turn a Python value into its JSON value."""
        ...

    def describe(self, parts: dict[str, Any]) -> dict[str, Any]:
        """Return the JSON Schema; records put themselves into `parts` and are referred to."""
        ...

    def stand_in(self) -> Any:
        """Return a value to go on with where none could be read."""
        ...


def shown(value: object) -> str:
    """Write a value for a message: short ones as they are, others by their sort."""
    if isinstance(value, dict):
        return "an object"
    if isinstance(value, list):
        return "a list"
    if isinstance(value, int) and abs(value) > LARGEST_SHOWN:
        return "so large a number"
    text = json.dumps(value, ensure_ascii=False)
    return _writable(text)


def member(path: str, key: str) -> str:
    """Return the path of an object's member."""
    if _NAME.match(key):
        return f"{path}.{key}"
    text = key.replace("\\", "\\\\").replace("'", "\\'")
    return f"{path}['{_writable(text)}']"


def _writable(text: str) -> str:
    """Cut a text short and write control characters by their numbers."""
    short = text if len(text) <= LONGEST_SHOWN else f"{text[:LONGEST_SHOWN]}…"
    return _UNWRITABLE.sub(lambda letter: f"\\u{ord(letter[0]):04x}", short)


@dataclass(frozen=True, slots=True)
class Whole:
    """A whole number from least to most, both allowed."""

    least: int
    most: int

    def read(self, value: object, path: str, faults: Faults) -> int:
        """Read 90 and 90.0 alike."""
        if isinstance(value, float) and value.is_integer():
            value = int(value)
        if isinstance(value, bool) or not isinstance(value, int):
            faults.add(path, "type", f"{shown(value)} is not a whole number; {self._advice}.")
        elif not self.least <= value <= self.most:
            faults.add(path, "range", f"{shown(value)} is out of range; {self._advice}.")
        else:
            return value
        return self.stand_in()

    def write(self, value: int) -> int:
        """Write the number."""
        return int(value)

    def describe(self, parts: dict[str, Any]) -> dict[str, Any]:  # noqa: ARG002
        """Describe the range."""
        return {"type": "integer", "minimum": self.least, "maximum": self.most}

    def stand_in(self) -> int:
        """Return the allowed number next to 1."""
        return max(self.least, min(1, self.most))

    @property
    def _advice(self) -> str:
        return f"write a whole number from {self.least} to {self.most}"


@dataclass(frozen=True, slots=True)
class Release(Whole):
    """Which shape of a file it is; a later one is for a later release to read."""

    @property
    def _advice(self) -> str:
        known = f"this release reads the shapes from {self.least} to {self.most}"
        return f"{known}, so take the release that wrote the file"


@dataclass(frozen=True, slots=True)
class Number:
    """A number from least to most; least itself only where the range is not open below."""

    least: float
    most: float
    is_open_below: bool = False

    def read(self, value: object, path: str, faults: Faults) -> float:
        """Read whole numbers as well."""
        if isinstance(value, bool) or not isinstance(value, (int, float)):
            faults.add(path, "type", f"{shown(value)} is not a number; {self._advice}.")
        elif not (self.least <= value <= self.most) or (self.is_open_below and value == self.least):
            faults.add(path, "range", f"{shown(value)} is out of range; {self._advice}.")
        else:
            return float(value)
        return self.stand_in()

    def write(self, value: float) -> float:
        """Write the number; reading gives exactly it again."""
        return float(value)

    def describe(self, parts: dict[str, Any]) -> dict[str, Any]:  # noqa: ARG002
        """Describe the range."""
        low = "exclusiveMinimum" if self.is_open_below else "minimum"
        return {"type": "number", low: self.least, "maximum": self.most}

    def stand_in(self) -> float:
        """Return the allowed number next to 1."""
        return max(self.least, min(1.0, self.most))

    @property
    def _advice(self) -> str:
        low = f"above {self.least:g}" if self.is_open_below else f"from {self.least:g}"
        return f"write a number {low} up to {self.most:g}"


@dataclass(frozen=True, slots=True)
class Text:
    """A text without control characters.

    Attributes:
        least: Fewest letters.
        most: Most letters.
    """

    least: int = 0
    most: int = LONGEST_TEXT

    def read(self, value: object, path: str, faults: Faults) -> str:
        """Read a text that can be written out again."""
        if not isinstance(value, str):
            faults.add(path, "type", f"{shown(value)} is not a text; write it in double quotes.")
        elif len(value) < self.least:
            faults.add(path, "empty", "This is empty; write at least one letter.")
        elif len(value) > self.most:
            faults.add(path, "long", f"Too long; write at most {self.most} letters.")
        elif _UNWRITABLE.search(value):
            faults.add(path, "letters", f"{shown(value)} holds a control character; leave it out.")
        else:
            return value
        return self.stand_in()

    def write(self, value: str) -> str:
        """Write the text."""
        return str(value)

    def describe(self, parts: dict[str, Any]) -> dict[str, Any]:  # noqa: ARG002
        """Describe the length and the letters."""
        rule: dict[str, Any] = {"type": "string", "maxLength": self.most}
        if self.least:
            rule["minLength"] = self.least
        return rule | {"pattern": "^[^\\u0000-\\u001f\\u007f]*$"}

    def stand_in(self) -> str:
        """Return a text nobody would write."""
        return "?"


@dataclass(frozen=True, slots=True)
class Flag:
    """True or false."""

    def read(self, value: object, path: str, faults: Faults) -> bool:
        """Read true and false only, never 0, 1 or a text."""
        if isinstance(value, bool):
            return value
        faults.add(path, "type", f"{shown(value)} is neither true nor false; write one of them.")
        return self.stand_in()

    def write(self, value: bool) -> bool:
        """Write it."""
        return bool(value)

    def describe(self, parts: dict[str, Any]) -> dict[str, Any]:  # noqa: ARG002
        """Describe it."""
        return {"type": "boolean"}

    def stand_in(self) -> bool:
        """Return false."""
        return False


@dataclass(frozen=True, slots=True)
class DateText:
    """A date as "2026-09-07"."""

    def read(self, value: object, path: str, faults: Faults) -> date:
        """Read a date of the calendar, only in this one way of writing."""
        if isinstance(value, str) and _DATE.match(value):
            try:
                return date.fromisoformat(value)
            except ValueError:
                pass
        faults.add(path, "date", f"{shown(value)} is not a date; write it like “2026-09-07”.")
        return self.stand_in()

    def write(self, value: date) -> str:
        """Write it."""
        return value.isoformat()

    def describe(self, parts: dict[str, Any]) -> dict[str, Any]:  # noqa: ARG002
        """Describe it."""
        return {"type": "string", "format": "date", "pattern": _DATE.pattern}

    def stand_in(self) -> date:
        """Return a date that no season has."""
        return date(1, 1, 1)


@dataclass(frozen=True, slots=True)
class FractionText:
    """A part from 0 to 1 as "1/4"."""

    def read(self, value: object, path: str, faults: Faults) -> Fraction:
        """Read two whole numbers with a stroke between."""
        if isinstance(value, str) and _FRACTION.match(value):
            part = Fraction(value)
            if part <= 1:
                return part
        message = f"{shown(value)} is not a part from 0 to 1; write it like “1/4”."
        faults.add(path, "fraction", message)
        return self.stand_in()

    def write(self, value: Fraction) -> str:
        """Write it, 0 and 1 as "0/1" and "1/1"."""
        return f"{value.numerator}/{value.denominator}"

    def describe(self, parts: dict[str, Any]) -> dict[str, Any]:  # noqa: ARG002
        """Describe it; that it is at most 1 is beyond the pattern."""
        return {"type": "string", "pattern": _FRACTION.pattern}

    def stand_in(self) -> Fraction:
        """Return nothing of the whole."""
        return Fraction(0)


@dataclass(frozen=True, slots=True)
class Choice:
    """One of the texts of an enumeration."""

    kind: type[StrEnum]

    def read(self, value: object, path: str, faults: Faults) -> StrEnum:
        """Read one of the texts."""
        texts = [str(item) for item in self.kind]
        if isinstance(value, str) and value in texts:
            return self.kind(value)
        listed = ", ".join(f"“{text}”" for text in texts)
        faults.add(path, "choice", f"{shown(value)} is none of the choices; write {listed}.")
        return self.stand_in()

    def write(self, value: StrEnum) -> str:
        """Write its text."""
        return str(value)

    def describe(self, parts: dict[str, Any]) -> dict[str, Any]:  # noqa: ARG002
        """List the texts."""
        return {"enum": [str(item) for item in self.kind]}

    def stand_in(self) -> StrEnum:
        """Return the first."""
        return next(iter(self.kind))
