"""Finding people's rows."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.club.comparing_names import plain_name
from clubplanner.errors import MissingError
from clubplanner.language import _
from clubplanner.store.tables.people_tables import PersonRow

if TYPE_CHECKING:
    from sqlalchemy.orm import Session


def load_person(session: Session, number: int) -> PersonRow:
    """Return a person whose access has not ended.

    Raises:
        MissingError: If there is none.
    """
    row = session.get(PersonRow, number)
    if row is None or row.ended_at is not None:
        raise MissingError(_("There is no such person, or their access has ended."))
    return row


def all_people(session: Session) -> list[PersonRow]:
    """Return everybody whose access has not ended, by name."""
    rows = session.scalars(select(PersonRow).where(PersonRow.ended_at.is_(None)))
    return sorted(rows, key=lambda row: (plain_name(row.name), row.id))


def find_login(session: Session, login: str) -> PersonRow | None:
    """Return whom a typed name or e-mail means; None for nobody."""
    wanted = plain_name(login)
    if not wanted:
        return None
    for row in all_people(session):
        if wanted in (plain_name(row.name), plain_name(row.email)):
            return row
    return None
