"""What rows by the million say, in an index: few texts, each the texts of thousands of rows.

A club has a million bookings, and in their columns for text stand some hundreds of texts: squads'
names, mostly. An index over all that such a row says lets `store/saying.py` go from one text to
the next and past the rows between. The database keeps it, so no writer can forget it.
"""

from __future__ import annotations

from typing import Any

from sqlalchemy import Text
from sqlalchemy.ext.compiler import compiles
from sqlalchemy.sql.functions import FunctionElement

LONGEST_SAID = 400
"""Letters of it that an index keeps: PostgreSQL takes 2,704 bytes of an entry, a letter has four at
most (https://www.postgresql.org/docs/current/btree.html, "B-Tree Indexes", Implementation)."""
KEPT_WORDS = ("holder", "note", "overruled", "why")
"""Under what the journal keeps of a booking in words, see `store/journal/states.py`; all else of it
are numbers and words of the program's own."""

_PATHS = ", ".join(f"'$.{name}'" for name in KEPT_WORDS)
_CUT = f"substr({{words}}, 1, {LONGEST_SAID})"
_BOOKING = "holder || {line} || note || {line} || overruled"


def _sqlite_state(column: str) -> str:
    return f"json_extract({column}, {_PATHS})"


def _postgres_state(column: str) -> str:
    words = (f"coalesce({column} ->> '{name}', '')" for name in KEPT_WORDS)
    return " || chr(10) || ".join(words)


_SQLITE_BEFORE = f"CASE before WHEN 'null' THEN '' ELSE coalesce({_sqlite_state('before')}, '') END"
SAID = {
    "booking": {
        "sqlite": _CUT.format(words=_BOOKING.format(line="char(10)")),
        "postgresql": _CUT.format(words=_BOOKING.format(line="chr(10)")),
    },
    "changed_booking": {
        "sqlite": _CUT.format(words=f"{_sqlite_state('after')} || {_SQLITE_BEFORE}"),
        "postgresql": _CUT.format(
            words=f"{_postgres_state('after')} || chr(10) || {_postgres_state('before')}"
        ),
    },
}
"""By table and kind of database: all that a row can say of a person, as SQL of its columns."""
COLLATE = {"sqlite": "", "postgresql": ' COLLATE "C"'}


class said(FunctionElement[str]):  # noqa: N801 - a function of SQL
    """What a row of a table says, as its index has it, to the very letter."""

    name = "said"
    inherit_cache = False
    type = Text()

    def __init__(self, table: str) -> None:
        """Take the name of a table that has such an index."""
        super().__init__()
        self.of = table


@compiles(said)
def _as_sql(element: said, compiler: Any, **_options: Any) -> str:
    kind = compiler.dialect.name
    return f"({SAID[element.of][kind]}){COLLATE[kind]}"
