"""The rows of all tables that are somebody's, or speak of them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any

from sqlalchemy import String, cast, or_, select

from clubplanner.services.keeping.subjects import OWN_NAME
from clubplanner.store.personal import LOOKED_INTO, MARKS, Fate, Holds
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
CHUNK = 500
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
    found = [row for name in MARKS for row in _rows_of_table(connection, name, known)]
    theirs = {(one.table, one.key): one for one in found if one.is_theirs}
    for table, column, owner in BELONGING:
        ids = [one.row["id"] for one in theirs.values() if one.table == owner]
        for row in _rows_with(connection, _table(table), column, ids):
            about = RowAbout(table, row, (), is_theirs=True)
            theirs.setdefault((table, about.key), about)
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


def _rows_of_table(connection: Connection, name: str, known: Known) -> Iterator[RowAbout]:
    marks, table = MARKS[name], _table(name)
    who = [table.c[one] for one in marks.holding(Holds.WHO)]
    looked = {one: marks.columns[one] for one in marks.holding(*LOOKED_INTO)}
    which = [column == known.person for column in who] if known.person else []
    which += list(_likely(connection, table, looked, known.traces))
    if not which:
        return
    own_words, words = _Speaking(known.own), _Speaking(known.traces)
    for row in _likely_rows(connection, table, which, known.traces):
        is_own = bool(known.person) and any(row[column.name] == known.person for column in who)
        speaking = own_words if is_own else words
        columns = tuple(one for one in looked if speaking(looked[one], row[one]))
        if is_own or columns:
            is_theirs = is_own or (marks.fate is Fate.GOES and _is_theirs(name, row, words))
            yield RowAbout(name, dict(row), columns, is_theirs)


def _likely_rows(
    connection: Connection, table: Table, which: Sequence[ColumnElement[bool]], traces: Traces
) -> Iterator[Mapping[Any, Any]]:
    """Yield every row that may speak of somebody; of the largest tables by what they say at all."""
    texts = None
    if has_texts(table.name) and not MARKS[table.name].holding(Holds.WHO):
        texts = texts_like(connection, table.name, traces.patterns())
    if texts is None:
        yield from connection.execute(select(table).where(or_(*which))).mappings()
    else:
        yield from rows_saying(connection, table.name, texts)


def _is_theirs(name: str, row: Mapping[Any, Any], words: _Speaking) -> bool:
    columns = [*MARKS[name].holding(Holds.ADDRESS), *filter(None, [OWN_NAME.get(name)])]
    return any(words.are_all_of(row[column] or "") for column in columns)


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


def _likely(
    connection: Connection, table: Table, looked: Mapping[str, Holds], traces: Traces
) -> Iterator[ColumnElement[bool]]:
    """Yield conditions that every row fulfils that speaks of somebody, and few others do."""
    patterns = traces.patterns()
    is_sqlite = connection.dialect.name == "sqlite"
    for name, holds in looked.items():
        if holds is Holds.FILE and patterns:
            yield table.c[name].is_not(None)
            continue
        text = cast(table.c[name], String) if holds is Holds.VALUES else table.c[name]
        for pattern in patterns:
            # SQLite's own LIKE looks past capitals of plain letters, at half the price.
            yield text.like(pattern) if is_sqlite else text.ilike(pattern)


def _rows_with(
    connection: Connection, table: Table, column: str, ids: Iterable[Any]
) -> Iterator[Mapping[str, Any]]:
    listed = list(ids)
    for start in range(0, len(listed), CHUNK):
        which = table.c[column].in_(listed[start : start + CHUNK])
        for row in connection.execute(select(table).where(which)).mappings():
            yield dict(row)


def _table(name: str) -> Table:
    return Base.metadata.tables[name]
