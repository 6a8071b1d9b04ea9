"""What is kept of somebody, counted; of a kind with thousands of entries the latest are read."""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from functools import reduce
from itertools import islice
from typing import TYPE_CHECKING

from sqlalchemy import String, case, cast, false, func, literal, not_, or_, select

from clubplanner.services.keeping.likely import text_of
from clubplanner.services.keeping.rows_about import (
    GOES_WITH,
    Looking,
    RowAbout,
    in_order,
    with_belonging,
)
from clubplanner.store.personal import MARKS
from clubplanner.store.personal_kinds import Fate, Holds
from clubplanner.store.saying import has_texts

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from sqlalchemy import ColumnElement, Connection

    from clubplanner.services.keeping.subjects import Known

FEW = 50
"""Rows of a table that are all read; of one with more the rest are only counted."""
MOST_TEXTS = 2_000
"""Different texts of a table that speak of somebody; with more, all of its rows are read."""
DATED = ("at", "starts_at", "day", "made_at", "asked_at", "offered_at", "mailed_at", "created_at",
         "since", "said_at")  # fmt: skip
"""Columns that say when a row was, the most telling first."""


@dataclass(frozen=True, slots=True)
class Unread:
    """The rows of a table that are only counted.

    Attributes:
        theirs: How many are theirs, less those that were read.
        speaking: How many speak of them and are not theirs, less those that were read.
        listed: Which rows all of them are, those that were read among them, and how each is
            about them: the same text for the same rows, another for others. Blank if not asked for.
    """

    theirs: int
    speaking: int
    listed: str

    @property
    def count(self) -> int:
        """How many."""
        return self.theirs + self.speaking


@dataclass(frozen=True, slots=True)
class Counted:
    """Rows that are somebody's or speak of them.

    Attributes:
        rows: All of them, or the latest of tables with many.
        unread: How many more there are, by table.
    """

    rows: list[RowAbout]
    unread: dict[str, Unread] = field(default_factory=dict)


def count_about(
    connection: Connection, known: Known, latest: int, *, is_listed: bool = False
) -> Counted:
    """Return as `rows_about` does, but of a table with many rows the latest alone.

    Args:
        connection: To the database.
        known: What somebody is recognised by.
        latest: How many are read where many are counted.
        is_listed: Whether it is told, too, which rows are only counted. Then tables are read whole
            in which more than that counts: people, and what things of the club are called.
    """
    found: list[RowAbout] = []
    unread: dict[str, Unread] = {}
    owners: dict[str, ColumnElement[bool]] = {}
    for name in MARKS:
        looking = Looking(connection, name, known)
        if not _is_counted(looking) or (is_listed and _is_read_to_erase(looking)):
            found += looking.rows()
            continue
        few = list(islice(looking.rows(), FEW + 1))
        table = _large_table(connection, looking) if len(few) > FEW else None
        if table is None:
            found += few if len(few) <= FEW else looking.rows()
            continue
        read = table.latest(latest)
        found += read
        unread[name] = table.unread(read, is_listed=is_listed)
        owners[name] = table.theirs
    return Counted(in_order(with_belonging(connection, found, owners)), unread)


def _is_counted(looking: Looking) -> bool:
    """Tell whether a table's rows can be counted: each has its own date, and none is another's."""
    holds_files = Holds.FILE in looking.looked.values()
    dated = any(one in looking.table.c for one in DATED)
    return dated and not (looking.name in GOES_WITH or holds_files or has_texts(looking.name))


def _is_read_to_erase(looking: Looking) -> bool:
    return looking.name == "person" or Holds.THING in looking.looked.values()


def _large_table(connection: Connection, looking: Looking) -> _LargeTable | None:
    """Return a table with many rows about somebody; None where it has to be read."""
    own = _own_texts(connection, looking)
    if own is None:
        return None
    theirs = or_(false(), *looking.own, *_whole(looking, own))
    others = [name for name in looking.looked if name not in own]
    speaking = _texts_that_speak(connection, looking, others, [not_(_is_true(theirs))])
    if speaking is None:
        return None
    return _LargeTable(connection, looking, _is_true(theirs), own | speaking)


def _own_texts(connection: Connection, looking: Looking) -> dict[str, list[str]] | None:
    """Return the different texts of its own columns that speak of somebody, as below."""
    if looking.own_texts is None or len(looking.own_texts) > MOST_TEXTS:
        return _texts_that_speak(connection, looking, looking.own_columns, [])
    return _by_column(looking, looking.own_columns, looking.own_texts)


def _whole(looking: Looking, texts: dict[str, list[str]]) -> Iterator[ColumnElement[bool]]:
    """Yield conditions for rows that go, where nothing but somebody stands in a column."""
    if MARKS[looking.name].fate is Fate.GOES:
        for name in looking.own_columns:
            whole = [one for one in texts[name] if looking.speaks.are_all_of(one)]
            yield looking.table.c[name].in_(whole)


def _texts_that_speak(
    connection: Connection,
    looking: Looking,
    columns: Sequence[str],
    which: list[ColumnElement[bool]],
) -> dict[str, list[str]] | None:
    """Return the different texts of some columns that speak of somebody; None where they are many.

    One look through the table: what says nothing like it is nothing, and so told once.
    """
    likely = {name: looking.likely(name) for name in columns}
    looked = [name for name, conditions in likely.items() if conditions]
    texts: dict[str, list[str]] = {name: [] for name in columns}
    if not looked:
        return texts
    like = (case((or_(*likely[name]), _text(looking, name))) for name in looked)
    asked = select(*like).where(*which).distinct().limit(MOST_TEXTS + 1)
    rows = connection.execute(asked).all()
    if len(rows) > MOST_TEXTS:
        return None
    return texts | _by_column(looking, looked, rows)


def _by_column(
    looking: Looking, columns: Sequence[str], rows: Sequence[Sequence[str | None]]
) -> dict[str, list[str]]:
    """Return those texts of some rows that speak of somebody, each once, by column."""
    found = {}
    for n, name in enumerate(columns):
        told, holds = dict.fromkeys(row[n] for row in rows), looking.looked[name]
        found[name] = [one for one in told if one and _speaks(looking, holds, one)]
    return found


def _speaks(looking: Looking, holds: Holds, text: str) -> bool:
    return looking.speaks(holds, json.loads(text) if holds is Holds.VALUES else text)


def _text(looking: Looking, name: str) -> ColumnElement[str]:
    return text_of(looking.table.c[name], looking.looked[name])


class _LargeTable:
    """A table with many rows about somebody.

    Attributes:
        theirs: Whether all of a row is theirs, for the database.
    """

    def __init__(
        self,
        connection: Connection,
        looking: Looking,
        theirs: ColumnElement[bool],
        texts: dict[str, list[str]],
    ) -> None:
        self._connection, self._looking, self._table = connection, looking, looking.table
        self.theirs = theirs
        self._texts = texts
        speaking = (_text(looking, name).in_(some) for name, some in texts.items() if some)
        self._about = or_(theirs, *speaking)

    def latest(self, most: int) -> list[RowAbout]:
        """Return the latest of them, in order."""
        at = next(self._table.c[one] for one in DATED if one in self._table.c)
        keys = self._table.primary_key.columns
        last = select(at).where(self._about).order_by(*(one.desc() for one in keys)).limit(most)
        # As many rows are no earlier than these, so that few have to be put in order.
        least = min(self._connection.scalars(last))
        latest = select(self._table).where(at >= least, self._about)
        with self._connection.execute(latest.order_by(at.desc(), *keys).limit(most)) as rows:
            return list(self._looking.about(rows.mappings()))

    def unread(self, read: Sequence[RowAbout], *, is_listed: bool) -> Unread:
        """Return what is there beside the rows that were read."""
        theirs = func.sum(case((self.theirs, 1), else_=0))
        counted = select(func.count(), theirs).where(self._about)
        count, owned = self._connection.execute(counted).one()
        kept = sum(one.is_theirs for one in read)
        return Unread(
            owned - kept, count - owned - len(read) + kept, self._listed() if is_listed else ""
        )

    def _listed(self) -> str:
        """Return which rows are about them, and how: of those that are not theirs by each column.

        The database puts it together, in any order.
        """
        columns = (
            case((_text(self._looking, name).in_(self._texts[name]), f"{name} "), else_="")
            for name in self._looking.looked
            if self._texts[name]
        )
        how = case((self.theirs, "theirs "), else_=_joined(columns))
        keys = (cast(one, String).concat(" ") for one in self._table.primary_key.columns)
        listed = select(func.aggregate_strings(how.concat(_joined(keys)), "\n")).where(self._about)
        return "\n".join(sorted((self._connection.scalar(listed) or "").split("\n")))


def _joined(texts: Iterable[ColumnElement[str]]) -> ColumnElement[str]:
    """Return texts as one."""
    return reduce(lambda some, one: some.concat(one), texts, literal("", String))


def _is_true(condition: ColumnElement[bool]) -> ColumnElement[bool]:
    """Return a condition that is false where nothing is known."""
    return case((condition, 1), else_=0) == 1
