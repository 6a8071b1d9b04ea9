"""Which texts the rows of a large table have, found without reading its rows (`tables/said.py`)."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any

from sqlalchemy import Integer, Text, bindparam, func, literal_column, or_, select

from clubplanner.store import postgres
from clubplanner.store.chunks import chunks_of
from clubplanner.store.tables.base import Base
from clubplanner.store.tables.said import LONGEST_SAID, SAID, said

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from sqlalchemy import ColumnElement, Connection, Select

MOST = 20_000
"""Texts that are gone through one by one, at 5 µs each; with more, reading the rows is quicker."""


def has_texts(table: str) -> bool:
    """Tell whether an index holds what the rows of a table say."""
    return table in SAID


def texts_like(
    connection: Connection, table: str, patterns: Sequence[str], most: int = MOST
) -> list[str] | None:
    """Return those of a table's texts in which a row may say something like one of some patterns.

    Args:
        connection: To the database.
        table: The name of one that has texts.
        patterns: Of SQL's LIKE, capitals alike; one at least.
        most: Texts that are gone through at the most.

    Returns:
        As the index has them; long ones are cut there, and so all of those are among them. None
        where reading the rows is quicker: there are too many texts, or most of them are alike.
    """
    rows = connection.execute(_texts(table, len(patterns), connection.dialect.name),
                              {"most": most + 1, **_named(patterns)}).all()  # fmt: skip
    found = [row[0] for row in rows if row[1]]
    return None if len(rows) > most or 2 * len(found) > len(rows) > 1 else found


def rows_saying(
    connection: Connection, table: str, texts: Sequence[str]
) -> Iterator[Mapping[Any, Any]]:
    """Yield the rows of a table that say just one of some texts, by the index."""
    rows = Base.metadata.tables[table]
    for chunk in chunks_of(texts):
        which = said(table).in_(chunk)
        yield from connection.execute(select(rows).where(which)).mappings()


def any_like(
    connection: Connection, text: ColumnElement[str], patterns: Sequence[str]
) -> list[ColumnElement[bool]]:
    """Return conditions that a text is like one of some patterns, capitals alike.

    SQLite's own LIKE looks past capitals of plain letters, at half the price of `lower` on both.
    """
    is_sqlite = connection.dialect.name == "sqlite"
    return [text.like(one) if is_sqlite else text.ilike(one) for one in patterns]


def _named(patterns: Sequence[str]) -> dict[str, str]:
    return {f"like_{n}": pattern for n, pattern in enumerate(patterns)}


@cache
def _texts(table: str, patterns: int, kind: str) -> Select[Any]:
    """Return the question for all texts, each the next in the index after the one before."""
    of = Base.metadata.tables[table]
    text = said(table)
    first = select(text).select_from(of).order_by(text).limit(1).scalar_subquery()
    told = select(first.label("words")).cte("told", recursive=True)
    then = select(text).select_from(of).where(text > told.c.words).order_by(text).limit(1)
    following = then.correlate(told).scalar_subquery()
    told = told.union_all(select(following).where(told.c.words.is_not(None)))
    return (
        select(told.c.words, or_(*_likely(told.c.words, patterns, kind)))
        .where(told.c.words.is_not(None))
        .limit(bindparam("most", type_=Integer))
    )


def _likely(words: ColumnElement[str], patterns: int, kind: str) -> Iterator[ColumnElement[bool]]:
    yield func.length(words) >= literal_column(str(LONGEST_SAID))
    # By letters of the index alone, PostgreSQL would know no capitals but the plain ones.
    compared = words.collate("default") if kind == postgres.NAME else words
    for n in range(patterns):
        pattern = bindparam(f"like_{n}", type_=Text())
        yield compared.ilike(pattern) if kind == postgres.NAME else words.like(pattern)
