"""Finding ground and squads by what people call them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import select
from sqlalchemy.orm import selectinload

from clubplanner.errors import MissingError
from clubplanner.store.tables import AreaRow, PitchRow

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from clubplanner.store.engine import Store


def find_area_id(store: Store, pitch: str, area: str = "whole") -> int:
    """Return the number of an area.

    Args:
        store: The database.
        pitch: Key or name of the pitch, small or capital letters.
        area: Key or name of the area.

    Raises:
        MissingError: Naming what there is.
    """
    with store.read() as session:
        return find_area(session, pitch, area).id


def find_area(session: Session, pitch: str, area: str = "whole") -> AreaRow:
    """Return an area by the names people use.

    Raises:
        MissingError: Naming what there is.
    """
    rows = session.scalars(select(PitchRow).options(selectinload(PitchRow.areas))).all()
    wanted = pitch.strip().lower()
    found = [row for row in rows if wanted in (row.key, row.name.lower())]
    if len(found) != 1:
        known = ", ".join(row.key for row in rows) or "none yet"
        several = "Several pitches are called" if found else "There is no pitch"
        raise MissingError(f"{several} “{pitch}”; write one of: {known}.")
    part = area.strip().lower()
    for row in found[0].areas:
        if part in (row.key, row.name.lower()):
            return row
    known = ", ".join(row.key for row in found[0].areas)
    raise MissingError(f"{found[0].name} has no area “{area}”; write one of: {known}.")
