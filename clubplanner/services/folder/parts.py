"""Parts of pitches that are not quite as their file alone would make them.

Ground that was drawn anew leaves numbers of its pieces behind, in bookings that were over by then;
a part may have been named in another language of the club's. Both stand in a sheet of their own.
"""

from __future__ import annotations

from itertools import combinations
from typing import TYPE_CHECKING

from sqlalchemy import select, update

from clubplanner.inputs.ground_files.grounds import read_grounds
from clubplanner.language import _
from clubplanner.services.folder.sheets.columns import (
    MOST,
    Column,
    Instant,
    Optional,
    Ref,
    Text,
    Whole,
)
from clubplanner.services.folder.sheets.sheet import Sheet
from clubplanner.store.tables.ground_tables import AreaRow, PitchRow

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy.orm import Session

    from clubplanner.domain.ground.grounds import Area
    from clubplanner.inputs.reading.faults import Faults
    from clubplanner.services.folder.sheets.sheet import Values

PARTS = Sheet(
    "parts.csv",
    AreaRow,
    (
        Column("ground", "id", Ref("area")),
        Column("name", "name", Text()),
        Column("pieces", "cells", Whole(1, MOST)),
        Column("drawn anew", "redrawn_at", Optional(Instant())),
    ),
    "parts of pitches that were drawn anew, or are called otherwise than their pitch's file says; "
    "leave out a pitch's rows when you change its file",
)


def differing_parts(session: Session, grounds: Sequence[str], language: str) -> set[int]:
    """Return the parts that the files of grounds alone would not make as they are.

    Args:
        session: An open session.
        grounds: The files.
        language: The club's.
    """
    made: dict[str, tuple[Area, ...]] = {}
    for text in grounds:
        made |= {pitch.key: pitch.areas for pitch in read_grounds(text, "", language).pitches}
    found: set[int] = set()
    for pitch in session.scalars(select(PitchRow)):
        known = {area.key: (area.name, area.cells) for area in made.get(pitch.key, ())}
        is_same = all(
            area.redrawn_at is None and known.get(area.key) == (area.name, area.cells)
            for area in pitch.areas
        )
        found |= set() if is_same else {area.id for area in pitch.areas}
    return found


def write_parts(session: Session, rows: Sequence[tuple[int, Values]], faults: Faults) -> None:
    """Let parts of pitches be as their sheet says, if that can be.

    Args:
        session: The open write session.
        rows: Each with its number in the sheet.
        faults: Gets what cannot be.
    """
    listed = {values["id"]: number for number, values in rows}
    pitches = [
        pitch
        for pitch in session.scalars(select(PitchRow))
        if any(area.id in listed for area in pitch.areas)
    ]
    met = [pair for pitch in pitches for pair in combinations(pitch.areas, 2) if _meet(*pair)]
    for _unused, values in rows:
        own = {name: value for name, value in values.items() if name != "id"}
        session.execute(update(AreaRow).where(AreaRow.id == values["id"]).values(own))
    session.expire_all()
    for one, other in met:
        if not _meet(one, other):
            number = listed.get(one.id) or listed.get(other.id)
            words = _(
                "The pieces of “%(one)s” and “%(other)s” do not go with how they lie; leave "
                "out the rows of this pitch",
                one=one.name,
                other=other.name,
            )
            faults.add(f"row {number}, column pieces", "pieces", words)


def _meet(one: AreaRow, other: AreaRow) -> bool:
    return bool(one.cells & other.cells)
