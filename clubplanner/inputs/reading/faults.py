"""Collecting every fault of one file."""

from __future__ import annotations

import reprlib
from dataclasses import dataclass, field
from datetime import date
from typing import TYPE_CHECKING

from clubplanner.domain.problems import Problem
from clubplanner.language import _, quoted

if TYPE_CHECKING:
    from collections.abc import Iterable

LONGEST_SHOWN = 60
"""Letters of a value that a message repeats."""
LARGEST = 10**15
"""Whole numbers from here on are typing mistakes, too large to compute with or to write out."""


class _ShortRepr(reprlib.Repr):
    def repr_int(self, x: int, level: int) -> str:  # noqa: ARG002 - the base class asks for it
        return repr(x) if abs(x) < LARGEST else "…"


MOST_FAULTS = 1_000
"""More are not kept: a file with so many is another kind of file."""

_SHORT = _ShortRepr()
_SHORT.maxlevel = 2


@dataclass(slots=True)
class Faults:
    """The problems found so far in one file.

    Attributes:
        file_name: How the file is called when telling a person.
        found: The problems, in order of finding.
    """

    file_name: str
    found: list[Problem] = field(default_factory=list)

    def add(self, place: str, code: str, message: str, form_words: str = "") -> None:
        """Note one fault at a place in the file; the message ends with a full stop here.

        Of more than `MOST_FAULTS` the first are kept, with a last one that says so.
        """
        if len(self.found) >= MOST_FAULTS:
            if self.found[-1].code != "and-more":
                text = _("There are more faults; mend those above first.")
                self.found.append(Problem(self.file_name, "and-more", text))
            return
        where = f"{self.file_name}, {place}" if place else self.file_name
        self.found.append(Problem(where, code, f"{message.rstrip('.')}.", form_words))


def decode_text(data: bytes) -> str:
    """Read a text file as UTF-8, or as Windows-1252 where a spreadsheet saved it so."""
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("cp1252", errors="replace")


def show_value(value: object) -> str:
    """Write a value of a file for a message, cut short where it is long or deeply nested."""
    if isinstance(value, bool):
        text = str(value).lower()
    elif isinstance(value, (str, date)):
        text = str(value)
    elif isinstance(value, int) and abs(value) >= LARGEST:
        return _("so large a number")
    else:
        text = _SHORT.repr(value)
    return quoted(text if len(text) <= LONGEST_SHOWN else text[:LONGEST_SHOWN] + "…")


def list_words(words: Iterable[str]) -> str:
    """Join choices for a message: "grass, artificial or indoor"."""
    items = list(words)
    if len(items) < 2:
        return "".join(items)
    return _("%(first)s or %(last)s", first=", ".join(items[:-1]), last=items[-1])
