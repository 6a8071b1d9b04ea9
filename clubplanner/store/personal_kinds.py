"""What a column can hold of a person, and what becomes of its row: what marks are made of."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

    from clubplanner.domain.club.persons.keeping import Period


class Holds(StrEnum):
    """What a column can hold of a person.

    NOTHING: Numbers, dates, ground, words of the program's own.
    WHO: The number of their row, so that this row is theirs.
    NAME, ADDRESS, PHONE: That alone; another may stand in its place.
    WORDS: Text in which somebody may be named. VALUES: The same as JSON. FILE: The same as bytes.
    SECRET: A hash or key by which they come in; it goes with its row.
    THING: What a thing of the club is called. It is looked into and told, and never rewritten:
        a squad, a venue, an address of others' is called so by everybody.
    """

    NOTHING = "nothing"
    WHO = "who"
    NAME = "name"
    ADDRESS = "address"
    PHONE = "phone"
    WORDS = "words"
    VALUES = "values"
    FILE = "file"
    SECRET = "secret"  # noqa: S105 - a word, no password
    THING = "thing"


class Fate(StrEnum):
    """What becomes of a table's rows when somebody is erased.

    STAYS: There is nothing of anybody in it. GOES: A row that is theirs goes; of others' rows the
    words do. WITHOUT: The row stays, without them. GOES_WITH: It goes with the row it belongs to.
    """

    STAYS = "stays"
    GOES = "goes"
    WITHOUT = "without"
    GOES_WITH = "goes with"


class Part(StrEnum):
    """What a person is told of as one."""

    PERSON = "person"
    SIGNING_IN = "signing in"
    ADDRESSES = "addresses"
    MAILS = "mails"
    PHONES = "phones"
    BOOKINGS = "bookings"
    HIRES = "hires"
    MATCHES = "matches"
    ASKS = "asks"
    GROUND = "ground"
    CALENDARS = "calendars"
    PROPOSALS = "proposals"
    JOURNAL = "journal"
    CLUB = "club"


@dataclass(frozen=True, slots=True)
class Marks:
    """The marks of a table.

    Attributes:
        part: What it is told as.
        fate: What becomes of its rows when somebody is erased.
        columns: What each column can hold.
        pruned: By which period it is pruned; None where rows stay as long as what they are of.
        short_lived: Why no period is needed: it goes by itself; blank else.
    """

    part: Part
    fate: Fate
    columns: Mapping[str, Holds]
    pruned: Period | None = None
    short_lived: str = ""

    def holding(self, *kinds: Holds) -> tuple[str, ...]:
        """Return the columns that can hold something of these kinds."""
        return tuple(name for name, holds in self.columns.items() if holds in kinds)


TEXTS = (Holds.NAME, Holds.ADDRESS, Holds.PHONE, Holds.WORDS)


REWRITTEN = (*TEXTS, Holds.VALUES, Holds.FILE)
"""What is rewritten without somebody."""


LOOKED_INTO = (*REWRITTEN, Holds.THING)
