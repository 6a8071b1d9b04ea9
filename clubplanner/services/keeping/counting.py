"""What is kept of somebody, counted; of a kind with thousands of entries the latest are read."""

from __future__ import annotations

import json
from collections import Counter
from dataclasses import dataclass
from itertools import islice
from typing import TYPE_CHECKING, Any

from sqlalchemy import String, case, cast, false, func, not_, or_, select

from clubplanner.services.keeping.rows_about import (
    BELONGING,
    Looking,
    RowAbout,
    with_belonging,
)
from clubplanner.store.personal import MARKS
from clubplanner.store.personal_kinds import Fate, Holds
from clubplanner.store.saying import has_texts

if TYPE_CHECKING:
    from collections.abc import Iterator

    from sqlalchemy import ColumnElement, Connection

    from clubplanner.services.keeping.subjects import Known

FEW = 200
"""Rows of a table that are all read; of one with more the rest are only counted."""
DATED = ("at", "starts_at", "day", "made_at", "asked_at", "offered_at", "mailed_at", "created_at",
         "since", "said_at")  # fmt: skip
"""Columns that say when a row was, the most telling first."""


@dataclass(frozen=True, slots=True)
class Counted:
    """Rows that are somebody's or speak of them.

    Attributes:
        rows: All of them, or the latest of tables with many.
        unread: How many more there are, by table.
    """

    rows: list[RowAbout]
    unread: Counter[str]


def count_about(connection: Connection, known: Known, latest: int) -> Counted:
    """Return as `rows_about` does, but of a table with many rows the latest alone.

    Args:
        connection: To the database.
        known: What somebody is recognised by.
        latest: How many are read where many are counted.
    """
    found: list[RowAbout] = []
    unread: Counter[str] = Counter()
    owners: dict[str, ColumnElement[bool]] = {}
    for name in MARKS:
        looking = Looking(connection, name, known)
        few = list(islice(looking.rows(), FEW + 1)) if _is_counted(looking) else None
        if few is None or len(few) <= FEW:
            found += looking.rows() if few is None else few
            continue
        table = _LargeTable(connection, looking)
        read = table.latest(latest)
        found += read
        unread[name] = table.count() - len(read)
        owners[name] = table.theirs
    return Counted(with_belonging(connection, found, owners), unread)


def _is_counted(looking: Looking) -> bool:
    """Tell whether a table's rows can be counted: each has its own date, and none is another's."""
    goes_with = looking.name in {table for table, _column, _owner in BELONGING}
    holds_files = Holds.FILE in looking.looked.values()
    dated = any(one in looking.table.c for one in DATED)
    return dated and not (goes_with or holds_files or has_texts(looking.name))


class _LargeTable:
    """A table with many rows about somebody."""

    def __init__(self, connection: Connection, looking: Looking) -> None:
        self._connection, self._looking, self._table = connection, looking, looking.table
        self._marks = MARKS[looking.name]
        self.theirs = _is_true(or_(false(), *looking.own, *self._whole()))
        """Whether all of a row is theirs, for the database."""

    def count(self) -> int:
        """Return how many rows are theirs or speak of them."""
        counted = select(func.count()).select_from(self._table).where(self.theirs)
        return (self._connection.scalar(counted) or 0) + self._speaking()

    def latest(self, most: int) -> list[RowAbout]:
        """Return the latest of them, in order."""
        at = next(self._table.c[one] for one in DATED if one in self._table.c)
        keys = self._table.primary_key.columns
        ordered = select(self._table).where(or_(*self._looking.which)).order_by(at.desc(), *keys)
        first = list(self._about(ordered.limit(4 * most), most))
        return first if len(first) == most else list(self._about(ordered, most))

    def _about(self, asked: Any, most: int) -> Iterator[RowAbout]:
        with self._connection.execute(asked) as rows:
            yield from islice(self._looking.about(rows.mappings()), most)

    def _whole(self) -> Iterator[ColumnElement[bool]]:
        """Yield conditions for rows that go, where nothing but somebody stands in a column."""
        if self._marks.fate is not Fate.GOES:
            return
        for name in self._looking.own_columns:
            column = self._table.c[name]
            likely = self._looking.likely(name)
            if likely:
                asked = select(column).where(or_(*likely)).distinct()
                texts = self._connection.scalars(asked)
                yield column.in_([one for one in texts if self._looking.speaks.are_all_of(one)])

    def _speaking(self) -> int:
        """Count the rows that speak of somebody and are not theirs, each different text once."""
        likely = [one for name in self._looking.looked for one in self._looking.likely(name)]
        if not likely:
            return 0
        texts = [cast(self._table.c[name], String) if holds is Holds.VALUES else self._table.c[name]
                 for name, holds in self._looking.looked.items()]  # fmt: skip
        asked = select(*texts, func.count()).where(not_(self.theirs), or_(*likely))
        return sum(
            count
            for *values, count in self._connection.execute(asked.group_by(*texts))
            if self._speak(values)
        )

    def _speak(self, texts: list[Any]) -> bool:
        looked = self._looking.looked.items()
        return any(
            self._looking.speaks(
                holds, json.loads(text) if text and holds is Holds.VALUES else text
            )
            for (_name, holds), text in zip(looked, texts, strict=True)
        )


def _is_true(condition: ColumnElement[bool]) -> ColumnElement[bool]:
    """Return a condition that is false where nothing is known."""
    return case((condition, 1), else_=0) == 1
