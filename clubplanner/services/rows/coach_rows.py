"""Who coaches a squad: for pages, mails, and whoever has to ring."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from sqlalchemy import select
from sqlalchemy.orm import selectinload

from clubplanner.domain.club.persons.coaches import Coach
from clubplanner.store.tables.people_tables import PersonRow, SquadCoachRow
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from collections.abc import Collection

    from sqlalchemy.orm import Session

MOST_COACHES = 10_000
"""Of how many squads the coaches are remembered."""
WITH_COACHES = selectinload(SquadRow.coaches).joinedload(SquadCoachRow.person)
"""Loads what `coaches_from_row` reads, in one query."""


def coaches_of(
    session: Session, squad_ids: Collection[int] | None = None
) -> dict[int, tuple[Coach, ...]]:
    """Return the coaches of squads, the first one first, by the squads' numbers.

    Args:
        session: An open session.
        squad_ids: Which squads; None for all.

    Returns:
        A value for each squad asked for, empty where nobody is known; in one query.
    """
    found: dict[int, tuple[tuple[str, str, str, int], ...]]
    found = dict.fromkeys(squad_ids or (), ())
    query = (
        select(
            SquadCoachRow.squad_id,
            PersonRow.name,
            PersonRow.email,
            PersonRow.phone,
            PersonRow.id,
        )
        .join(PersonRow, PersonRow.id == SquadCoachRow.person_id)
        .where(SquadCoachRow.ended_at.is_(None))
        .order_by(SquadCoachRow.squad_id, SquadCoachRow.position)
    )
    if squad_ids is not None:
        query = query.where(SquadCoachRow.squad_id.in_(squad_ids))
    for squad, name, email, phone, person in session.execute(query):
        found[squad] = (*found.get(squad, ()), (name, email, phone, person))
    return {number: _coaches(stored) for number, stored in found.items()}


def has_coach_let_in(session: Session, squad_id: int | None) -> bool:
    """Return whether anybody who coaches a squad may sign in; nobody does for no squad."""
    query = (
        select(PersonRow.id)
        .join(SquadCoachRow, PersonRow.id == SquadCoachRow.person_id)
        .where(
            SquadCoachRow.squad_id == squad_id,
            SquadCoachRow.ended_at.is_(None),
            PersonRow.may_sign_in.is_(True),
        )
    )
    return session.scalars(query.limit(1)).first() is not None


@lru_cache(maxsize=MOST_COACHES)
def _coaches(stored: tuple[tuple[str, str, str, int], ...]) -> tuple[Coach, ...]:
    """Make the coaches of a squad of name, address, telephone and number; the same ones once."""
    return tuple(Coach(*one, position) for position, one in enumerate(stored))


def coaches_from_row(row: SquadRow) -> tuple[Coach, ...]:
    """Read a squad's coaches, the first one first."""
    return tuple(_coach(one.person, n) for n, one in enumerate(row.coaches))


def _coach(person: PersonRow, position: int) -> Coach:
    return Coach(person.name, person.email, person.phone, person.id, position)
