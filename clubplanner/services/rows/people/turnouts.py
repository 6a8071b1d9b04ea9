"""Who comes on a date and with how many: reading what was said, and noting it."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from sqlalchemy import select
from sqlalchemy.orm import selectinload

from clubplanner.domain.club.turnouts import Turnout
from clubplanner.store.tables.turnout_tables import TurnoutRow

if TYPE_CHECKING:
    from datetime import date, datetime

    from sqlalchemy.orm import Session

    from clubplanner.domain.club.squads import Squad

FIELDS = ("players", "goalkeepers", "is_coming", "from_min", "until_min", "minutes")


def load_turnouts(session: Session, day: date) -> dict[str, Turnout]:
    """Return what was said for a date, by the squad's key."""
    rows = session.scalars(
        select(TurnoutRow).where(TurnoutRow.day == day).options(selectinload(TurnoutRow.squad))
    )
    return {row.squad.key: _turnout(row) for row in rows}


def load_turnout(session: Session, squad_id: int, day: date) -> Turnout:
    """Return what was said of one squad; blank where nothing was."""
    row = _find(session, squad_id, day)
    return Turnout() if row is None else _turnout(row)


def note_turnout(
    session: Session, squad_id: int, day: date, said: Turnout, by: str, now: datetime
) -> bool:
    """Keep what is said of a squad's session in place of what was; tell whether it is new.

    Args:
        session: A writing session.
        squad_id: The squad's number.
        day: The local date.
        said: All that is said now.
        by: Who says it.
        now: The present instant.
    """
    row = _find(session, squad_id, day)
    fresh = [getattr(said, name) for name in FIELDS]
    if row is None:
        if said.is_blank:
            return False
        row = TurnoutRow(squad_id=squad_id, day=day)
        session.add(row)
    elif [getattr(row, name) for name in FIELDS] == fresh:
        return False
    for name, value in zip(FIELDS, fresh, strict=True):
        setattr(row, name, value)
    row.said_by, row.said_at = by, now
    return True


def with_turnout(squad: Squad, said: Turnout) -> Squad:
    """Return a squad with tonight's numbers in place of its usual ones, where they were said."""
    if said.players is None:
        return squad
    keepers = squad.goalkeepers if said.goalkeepers is None else said.goalkeepers
    return replace(squad, players=said.players, goalkeepers=min(keepers, said.players))


def _find(session: Session, squad_id: int, day: date) -> TurnoutRow | None:
    query = select(TurnoutRow).where(TurnoutRow.squad_id == squad_id, TurnoutRow.day == day)
    return session.scalars(query).first()


def _turnout(row: TurnoutRow) -> Turnout:
    return Turnout(
        **{name: getattr(row, name) for name in FIELDS}, said_by=row.said_by, said_at=row.said_at
    )
