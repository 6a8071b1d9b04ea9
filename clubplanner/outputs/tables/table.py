"""A table as it is taken away: columns of a kind each, and values that are no words yet.

Whoever makes one says what the cells are; how a date, an hour or an amount is written is decided in
`text_files.py` and `workbooks.py`, alike for every table.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence
    from zoneinfo import ZoneInfo

Cell = str | int | float | Decimal | date | datetime | None
"""None is a blank cell in a column of any kind."""


class Kind(StrEnum):
    """What the cells of a column are."""

    TEXT = "text"
    NUMBER = "number"
    DATE = "date"
    TIME = "time"
    """Minutes after local midnight; 1440 is 24:00, more is of the next day."""
    INSTANT = "instant"
    """An aware datetime, told by the wall clock of the table's zone."""
    HOURS = "hours"
    """A number of hours."""
    SHARE = "share"
    """A part of one; 0.25 is told as 25 %."""
    MONEY = "money"
    """An exact amount."""


@dataclass(frozen=True, slots=True)
class Column:
    """A column.

    Attributes:
        heading: What stands above it, in the reader's language.
        kind: What its cells are.
        decimals: How many digits after the point are shown; None for as many as the kind usually
            has: hours and money two, a share none, a number as many as it has.
        currency: What amounts are in, as it is shown; blank where the heading says it.
        offers: Words that a cell offers to choose from where it is filled in; others can be typed.
    """

    heading: str
    kind: Kind = Kind.TEXT
    decimals: int | None = None
    currency: str = ""
    offers: tuple[str, ...] = ()

    @property
    def shown_decimals(self) -> int | None:
        """Digits after the point, None for as many as a number has."""
        usual = {Kind.HOURS: 2, Kind.MONEY: 2, Kind.SHARE: 0}
        return usual.get(self.kind) if self.decimals is None else self.decimals


@dataclass(frozen=True, slots=True)
class Table:
    """A table.

    Attributes:
        title: What it is of; its sheet and its file are called so.
        columns: In order.
        rows: A cell for each column, in order.
        words: What of it is shown: "U12, 1 to 31 December"; blank for all there is.
        zone: In which instants are told; None where there are none.
    """

    title: str
    columns: tuple[Column, ...]
    rows: Sequence[Sequence[Cell]]
    words: str = ""
    zone: ZoneInfo | None = None

    def local(self, instant: datetime) -> datetime:
        """Return an instant as the wall clock of the table's zone shows it, without a zone.

        Raises:
            ValueError: If the table has no zone, or the instant none.
        """
        if self.zone is None or instant.tzinfo is None:
            raise ValueError("Instants need a time zone, and their table one to be told in.")
        return instant.astimezone(self.zone).replace(tzinfo=None)


def cell_text(value: object) -> str:
    """Return what a cell of words holds, without signs that no file may carry.

    Lone halves of letters outside the first plane become the sign for what is not known, controls
    blanks; tabs and line ends stay.
    """
    if value is None:
        return ""
    return str(value).translate(_UNWRITABLE)


_UNWRITABLE = {
    **dict.fromkeys((*range(9), 11, 12, *range(14, 32), 127, 65534, 65535), " "),
    **dict.fromkeys(range(0xD800, 0xE000), "\ufffd"),
}
