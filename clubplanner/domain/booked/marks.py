"""Marks in the journal: where somebody who follows it is, and whether they can go on from there.

A change has a number; what it did comes in parts: its bookings, its records, its end. Numbers rise
in the order in which changes became visible, since writers take turns (`store/postgres.py`,
SQLite's one writer): whoever has seen a number has been shown all below it, and a number that is
left out was given to a transaction that came to nothing.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import IntEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

_WRITTEN = re.compile(r"([a-z0-9]{1,40})-([0-9]{1,10})-([012])-([0-9]{1,10})")

LARGEST = 2**31 - 1
"""The largest number that a change or entry can have, in either kind of records."""


class Part(IntEnum):
    """What of a change comes one after the other."""

    BOOKINGS = 0
    RECORDS = 1
    END = 2


@dataclass(frozen=True, slots=True, order=True)
class Place:
    """A place in the journal: after one entry of one change.

    Attributes:
        change: The change's number; 0 before the first.
        part: Which part the entry is of; `END` after all of the change.
        entry: The entry's number within its part; 0 for none.
    """

    change: int
    part: Part = Part.END
    entry: int = 0


@dataclass(frozen=True, slots=True)
class Era:
    """A time in which each change has a number of its own.

    Attributes:
        name: What its marks begin with.
        begins_after: The number of the last change before it.
        dropped_to: Of the changes up to this number some are gone.
    """

    name: str
    begins_after: int
    dropped_to: int


def write_mark(era: Era, place: Place) -> str:
    """Write a place of the newest era for somebody to keep; they need not understand it."""
    return f"{era.name}-{place.change}-{int(place.part)}-{place.entry}"


def read_mark(text: str) -> tuple[str, Place] | None:
    """Read what `write_mark` wrote: the era's name and the place; None for anything else."""
    found = _WRITTEN.fullmatch(text)
    if found is None:
        return None
    era, change, part, entry = found.groups()
    place = Place(int(change), Part(int(part)), int(entry))
    return (era, place) if max(place.change, place.entry) <= LARGEST else None


def can_follow(eras: Sequence[Era], name: str, place: Place, newest: int) -> bool:
    """Tell whether all that has happened since a place is still there, under its own number.

    Args:
        eras: All that are known, oldest first.
        name: The one that the mark is of.
        place: Where.
        newest: The number of the newest change.

    Returns:
        False if the mark is of an era that is not known, lies after the moment from which the
        records were brought back, or before what is gone from the journal.
    """
    names = [era.name for era in eras]
    if name not in names or place.change > newest:
        return False
    later = eras[names.index(name) + 1 :]
    if any(place.change > era.begins_after for era in later):
        return False
    return place >= Place(max(era.dropped_to for era in eras))
