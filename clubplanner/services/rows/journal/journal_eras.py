"""Since when the numbers of the journal count, and up to which some are gone."""

from __future__ import annotations

import secrets
from typing import TYPE_CHECKING

from sqlalchemy import func, select

from clubplanner.domain.booked.marks import Era
from clubplanner.store.tables.following_tables import JournalEraRow
from clubplanner.store.tables.season_tables import ChangeRow

if TYPE_CHECKING:
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.store.engine import Store

NAME_OCTETS = 8


def newest_change(session: Session) -> int:
    """Return the number of the newest change; 0 for none."""
    return session.scalar(select(func.max(ChangeRow.id))) or 0


def find_eras(session: Session) -> tuple[Era, ...]:
    """Return the eras that are known, oldest first; none before anybody asked for a mark."""
    rows = session.scalars(select(JournalEraRow).order_by(JournalEraRow.id))
    return tuple(Era(row.name, row.begins_after, row.dropped_to) for row in rows)


def ensure_era(store: Store, now: datetime) -> None:
    """Let there be an era to give marks of."""
    with store.read() as session:
        if find_eras(session):
            return
    with store.write() as session:
        if not find_eras(session):
            begin_era(session, 0, now)


def begin_era(session: Session, begins_after: int, now: datetime) -> Era:
    """Begin another era: what is numbered from now on is not what had those numbers before.

    Args:
        session: An open write session.
        begins_after: The number of the last change that marks of earlier eras may speak of.
        now: The present instant.
    """
    dropped = max((era.dropped_to for era in find_eras(session)), default=0)
    era = Era(secrets.token_hex(NAME_OCTETS), begins_after, dropped)
    session.add(
        JournalEraRow(
            name=era.name, begins_after=begins_after, begun_at=now, dropped_to=era.dropped_to
        )
    )
    session.flush()
    return era


def note_dropped(session: Session, number: int, now: datetime) -> None:
    """Note that changes up to a number are no longer all in the journal."""
    if not find_eras(session):
        begin_era(session, 0, now)
    row = session.scalars(select(JournalEraRow).order_by(JournalEraRow.id.desc()).limit(1)).one()
    row.dropped_to = max(row.dropped_to, number)
    session.flush()
