"""What is looked at row by row: whose it is, and whether it still stands as it did."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any

from sqlalchemy import func, select

from clubplanner.store.tables.base import Base

if TYPE_CHECKING:
    from sqlalchemy import Select, Table
    from sqlalchemy.orm import Session

WATCHED = frozenset({"booking", "squad", "ask", "squad_coach", "person", "link"})
_NOTED = {"booking": ("area_id", "starts_at", "ends_at", "is_withdrawn", "sequence")}
"""The columns that count; of other tables all do."""


@dataclass(frozen=True, slots=True)
class Row:
    """A row that is watched.

    Attributes:
        squad: Key of the squad that it is of; of a person one that they coach; None for none.
        club: Number of that squad's club; None for none.
        values: What else stands there; of a booking where, when, and how often it was changed.
    """

    squad: str | None
    club: int | None
    values: tuple[Any, ...]


Rows = dict[tuple[str, int], Row]
"""By table and number."""


def rows_watched(session: Session) -> Rows:
    """Return what stands in the tables that are watched."""
    connection = session.connection()
    return {
        (name, row[0]): Row(row[1], row[2], tuple(row[3:]))
        for name in WATCHED
        for row in connection.execute(_query(name))
    }


@cache
def _query(name: str) -> Select[Any]:
    tables = Base.metadata.tables
    table, clubs = tables[name], tables["squad_club"]
    squads = tables["squad"].alias("of_squad")
    noted = [table.c[column] for column in _NOTED.get(name, table.c.keys())]
    return (
        select(table.c.id, squads.c.key, clubs.c.club_id, *noted)
        .select_from(table)
        .outerjoin(squads, squads.c.id == _squad_of(table))
        .outerjoin(clubs, clubs.c.squad_id == squads.c.id)
    )


def _squad_of(table: Table) -> Any:
    """Return the number of the squad that a row is of, or that its person coaches."""
    if table.name == "squad":
        return table.c.id
    if table.name not in ("person", "link"):
        return table.c.squad_id
    coached = Base.metadata.tables["squad_coach"].alias("coached")
    person = table.c.id if table.name == "person" else table.c.person_id
    first = (
        select(coached.c.squad_id)
        .where(coached.c.person_id == person)
        .order_by(coached.c.id)
        .limit(1)
        .scalar_subquery()
    )
    return first if table.name == "person" else func.coalesce(table.c.squad_id, first)
