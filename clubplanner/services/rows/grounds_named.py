"""Finding ground and squads by what people call them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import select
from sqlalchemy.orm import selectinload

from clubplanner.errors import MissingError
from clubplanner.language import _
from clubplanner.store.tables.ground_tables import AreaRow, PitchRow

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
        known = ", ".join(row.key for row in rows) or _("none yet")
        several = _("Several pitches are called") if found else _("There is no pitch")
        raise MissingError(
            _(
                "%(several)s “%(pitch)s”; write one of: %(known)s.",
                several=several,
                pitch=pitch,
                known=known,
            )
        )
    part = area.strip().lower()
    for row in found[0].areas:
        if part in (row.key, row.name.lower()):
            return row
    known = ", ".join(row.key for row in found[0].areas)
    raise MissingError(
        _(
            "%(found)s has no area “%(area)s”; write one of: %(known)s.",
            found=found[0].name,
            area=area,
            known=known,
        )
    )
