"""The rows of all tables that are somebody's, or speak of them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, cached_property
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from sqlalchemy import exists, or_, select

from clubplanner.services.keeping.likely import likely_texts
from clubplanner.services.keeping.subjects import own_columns
from clubplanner.store.chunks import chunks_of
from clubplanner.store.personal import MARKS
from clubplanner.store.personal_kinds import LOOKED_INTO, Fate, Holds
from clubplanner.store.saying import has_texts, rows_saying, texts_like
from clubplanner.store.tables.base import Base

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    from sqlalchemy import ColumnElement, Connection, Table

    from clubplanner.domain.club.persons.traces import Traces
    from clubplanner.services.keeping.subjects import Known

FOLDED = "\r\n ", "\r\n\t", "\n ", "\n\t"
"""How a line of a calendar goes on in the next (RFC 5545, section 3.1)."""
BELONGING = (
    ("look", "link_id", "link"),
    ("push_reader", "link_id", "link"),
    ("push_reader", "browser_id", "browser"),
    ("push", "reader_id", "push_reader"),
    ("mail_anew", "mail_id", "mail"),
    ("link", "mail_id", "mail"),
    ("look", "link_id", "link"),
    ("push_reader", "link_id", "link"),
    ("push", "reader_id", "push_reader"),
)
"""Rows that go with others: table, its column, whose row; a mail's addresses before what is
theirs."""
GOES_WITH = frozenset(name for name, _column, _owner in BELONGING)
OWNERS = frozenset(owner for _name, _column, owner in BELONGING)
_NUMBERS = {name: number for number, name in enumerate(MARKS)}
LONGEST_KNOWN = 100
"""A text of at most so many letters is looked at once, however many rows have it."""


@dataclass(frozen=True, slots=True)
class RowAbout:
    """A row that is somebody's or speaks of them.

    Attributes:
        table: Its table's name.
        row: Its values by column.
        columns: The columns that speak of them.
        is_theirs: Whether all of it is theirs, and not only what it says.
    """

    table: str
    row: Mapping[str, Any]
    columns: tuple[str, ...]
    is_theirs: bool

    @property
    def key(self) -> tuple[Any, ...]:
        """The values of its primary key."""
        return tuple(self.row[column.name] for column in _table(self.table).primary_key.columns)


def rows_about(connection: Connection, known: Known) -> list[RowAbout]:
    """Return every row that is somebody's or speaks of them, table by table.

    All of a table's texts are looked through; of those of the two largest each once
    (`store/saying.py`), of the others as often as they stand there.
    """
    return in_order(each_row_about(connection, known))


def in_order(rows: Iterable[RowAbout]) -> list[RowAbout]:
    """Return rows with what is theirs first, each table's rows as they come."""
    return sorted(rows, key=lambda one: (not one.is_theirs, _NUMBERS[one.table]))


def each_row_about(
    connection: Connection, known: Known, at_once: int | None = None
) -> Iterator[RowAbout]:
    """Yield the same, table by table; what goes with other rows at the end.

    Args:
        connection: To the database.
        known: What somebody is recognised by.
        at_once: So many rows of a table are in memory; None for as many as the driver fetches.
    """
    with_others: list[RowAbout] = []
    theirs: dict[str, list[Any]] = {}
    for name in MARKS:
        for one in Looking(connection, name, known, at_once).rows():
            if name in GOES_WITH:
                with_others.append(one)
                continue
            if name in OWNERS and one.is_theirs:
                theirs.setdefault(name, []).append(one.row["id"])
            yield one
    yield from with_belonging(connection, with_others, {}, theirs)


def with_belonging(
    connection: Connection,
    found: Iterable[RowAbout],
    many: Mapping[str, ColumnElement[bool]],
    ids: Mapping[str, Sequence[Any]] = MappingProxyType({}),
) -> list[RowAbout]:
    """Return rows with those that go with them, what is theirs first.

    Args:
        connection: To the database.
        found: Rows about somebody.
        many: Tables of which few rows are given, and a condition for all that are theirs.
        ids: Tables of which no row is given, and the numbers of those that are theirs.
    """
    found = list(found)
    theirs = {(one.table, one.key): one for one in found if one.is_theirs}
    for name, column, owner in BELONGING:
        table = _table(name)
        if owner in many:
            # Few rows go with others: each looks for its owner, and not all that are theirs for it.
            whose = _table(owner).c.id == table.c[column]
            conditions: list[ColumnElement[bool]] = [exists().where(whose, many[owner])]
        else:
            listed = [one.row["id"] for one in theirs.values() if one.table == owner]
            conditions = [*_chunks(table.c[column], [*ids.get(owner, ()), *listed])]
        for which in conditions:
            for row in connection.execute(select(table).where(which)).mappings():
                about = RowAbout(name, dict(row), (), is_theirs=True)
                theirs.setdefault((name, about.key), about)
    others = [one for one in found if (one.table, one.key) not in theirs]
    return [*theirs.values(), *others]


def speaks(holds: Holds, value: Any, traces: Traces) -> bool:
    """Tell whether a value of a column speaks of somebody."""
    return bool(value) and without(holds, value, traces, "\0") != unfolded(holds, value)


def without(holds: Holds, value: Any, traces: Traces, instead: str) -> Any:
    """Return a value of a column without somebody."""
    if holds is Holds.VALUES:
        return traces.rewrite_all(value, instead)
    if holds is Holds.FILE:
        text, encoding = _decoded(value)
        return traces.rewrite(text, instead).encode(encoding, "surrogateescape")
    if holds in (Holds.ADDRESS, Holds.PHONE) and traces.are_all_of(value):
        return ""
    return traces.rewrite(value, instead)


def unfolded(holds: Holds, value: Any) -> Any:
    """Return a value as `without` gives it where nobody is in it: a calendar on whole lines."""
    if holds is not Holds.FILE:
        return value
    text, encoding = _decoded(value)
    return text.encode(encoding, "surrogateescape")


def _decoded(data: bytes) -> tuple[str, str]:
    """Read a calendar's text, its folded lines joined, and how it is written."""
    is_wide = data[:2] in (b"\xff\xfe", b"\xfe\xff")
    encoding = "utf-16" if is_wide else "utf-8"
    text = data.decode(encoding, "replace" if is_wide else "surrogateescape")
    for fold in FOLDED:
        text = text.replace(fold, "")
    return text, encoding


class Looking:
    """Looks for somebody in one table.

    Attributes:
        name: The table's name.
        table: The table.
        looked: What is looked into, and what each column holds.
        own: Conditions for rows that are theirs by their number; empty where they have none.
        own_columns: Columns that make a row theirs where nothing but somebody stands in them.
        own_texts: What stands in them in rows that are likely; None if it was not looked for.
        speaks: Tells whether a value of a column of another's row speaks of them.
    """

    def __init__(
        self, connection: Connection, name: str, known: Known, at_once: int | None = None
    ) -> None:
        marks = MARKS[name]
        self._connection, self._known, self._marks = connection, known, marks
        self._options = {"yield_per": at_once} if at_once else {}
        self.name, self.table = name, _table(name)
        self._who = marks.holding(Holds.WHO) if known.person else ()
        self.own = [self.table.c[one] == known.person for one in self._who]
        self.looked = {one: marks.columns[one] for one in marks.holding(*LOOKED_INTO)}
        self.own_columns = own_columns(name)
        self.own_texts = known.own_texts.get(name)
        self.speaks, self._own_words = _Speaking(known.traces), _Speaking(known.own)

    @cached_property
    def which(self) -> list[ColumnElement[bool]]:
        """Conditions of which every row about them fulfils one, and few others do."""
        looked = () if self.own_texts == [] else self.looked
        return [*self.own, *(one for name in looked for one in self.likely(name))]

    def likely(self, name: str) -> list[ColumnElement[bool]]:
        """Return conditions of which every text of a column that speaks of them fulfils one."""
        patterns, holds = self._known.traces.patterns(), self.looked[name]
        return likely_texts(self._connection, self.table.c[name], holds, patterns)

    def rows(self) -> Iterator[RowAbout]:
        """Yield every row that is theirs or speaks of them."""
        if self.which:
            yield from self.about(self._likely_rows())

    def about(self, rows: Iterable[Mapping[Any, Any]]) -> Iterator[RowAbout]:
        """Yield those of some rows that are theirs or speak of them."""
        goes = self._marks.fate is Fate.GOES
        for row in rows:
            is_own = any(row[one] == self._known.person for one in self._who)
            speaking = self._own_words if is_own else self.speaks
            columns = tuple(one for one in self.looked if speaking(self.looked[one], row[one]))
            if is_own or columns:
                is_theirs = is_own or (goes and self._is_all_theirs(row))
                yield RowAbout(self.name, dict(row), columns, is_theirs)

    def _is_all_theirs(self, row: Mapping[Any, Any]) -> bool:
        return any(self.speaks.are_all_of(row[one] or "") for one in self.own_columns)

    def _likely_rows(self) -> Iterator[Mapping[Any, Any]]:
        """Yield every row that may speak of them; of the largest tables by what they say at all."""
        texts = None
        if has_texts(self.name) and not self._marks.holding(Holds.WHO):
            texts = texts_like(self._connection, self.name, self._known.traces.patterns())
        if texts is None:
            asked = select(self.table).where(or_(*self.which))
            with self._connection.execute(asked, execution_options=self._options) as rows:
                yield from rows.mappings()
        else:
            yield from rows_saying(self._connection, self.name, texts)


class _Speaking:
    """Tells whether values speak of somebody, each short text once: rows by the thousand say it."""

    def __init__(self, traces: Traces) -> None:
        self._traces = traces
        self._known: dict[tuple[Holds, str], bool] = {}
        self.are_all_of = cache(traces.are_all_of)

    def __call__(self, holds: Holds, value: Any) -> bool:
        """Tell it of a value of a column, as `speaks` does."""
        if not value:
            return False
        if not isinstance(value, str) or len(value) > LONGEST_KNOWN:
            return speaks(holds, value, self._traces)
        if (holds, value) not in self._known:
            self._known[holds, value] = speaks(holds, value, self._traces)
        return self._known[holds, value]


def _chunks(column: ColumnElement[Any], ids: list[Any]) -> Iterator[ColumnElement[bool]]:
    yield from (column.in_(chunk) for chunk in chunks_of(ids))


def _table(name: str) -> Table:
    return Base.metadata.tables[name]
