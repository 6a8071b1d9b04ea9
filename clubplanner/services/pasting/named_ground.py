"""The ground that a table names: a pitch, and the part of it."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from sqlalchemy import select
from sqlalchemy.orm import selectinload

from clubplanner.domain.problems import Problem
from clubplanner.domain.searching import plain_phrase
from clubplanner.inputs.pasting.values import SHARE_WORDS
from clubplanner.language import _, quoted
from clubplanner.store.tables.ground_tables import PitchRow

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from clubplanner.inputs.pasting.understanding import UnderstoodRow
    from clubplanner.store.tables.ground_tables import AreaRow

_PARTS = re.compile(r"[,;/()|]|\s[-–]\s")


def place_of_fault(row: int, column: str) -> str:
    """Write where a fault of a table is, for `faults_at_cells`; rows are counted from 1."""
    return f"row {row}, column {column}"


class Grounds:
    """Finds the ground that a table names: a pitch, and the part of it."""

    def __init__(self, session: Session) -> None:
        self._pitches = session.scalars(
            select(PitchRow)
            .order_by(PitchRow.id)
            .options(selectinload(PitchRow.areas), selectinload(PitchRow.venue))
        ).all()
        self.names = list(dict.fromkeys(pitch.name for pitch in self._pitches))
        self.parts = list(dict.fromkeys(a.name for pitch in self._pitches for a in pitch.areas))

    def find(self, row: UnderstoodRow, problems: list[Problem]) -> AreaRow | None:
        """Return the ground of a row; None with what is wrong about it.

        The cell of the pitch may name the venue and the part, too: "Top pitch, north half".
        """
        text = row.cells["pitch"]
        words = {plain_phrase(text), *map(plain_phrase, _PARTS.split(text))}
        found = [pitch for pitch in self._pitches if plain_phrase(pitch.name) in words]
        if len(found) > 1:
            found = [pitch for pitch in found if plain_phrase(pitch.venue.name) in words]
        if len(found) != 1:
            fault = _("There is no pitch %(pitch)s.", pitch=quoted(text))
            problems.append(Problem(place_of_fault(row.row, "pitch"), "no-such-pitch", fault))
            return None
        pitch = found[0]
        known = {plain_phrase(name) for name in (text, pitch.name, pitch.venue.name)}
        besides = [part for part in _PARTS.split(text) if plain_phrase(part) not in {*known, ""}]
        column = "area" if row.cells.get("area") else "pitch"
        parts = [row.cells["area"]] if column == "area" else besides
        if not parts:
            return next(area for area in pitch.areas if area.cut == "whole")
        for part in parts:
            area = _part(pitch, part)
            if area is not None:
                return area
        fault = _(
            "%(pitch)s has no part %(part)s.",
            pitch=quoted(pitch.name),
            part=quoted(parts[0].strip()),
        )
        problems.append(Problem(place_of_fault(row.row, column), "no-such-area", fault))
        return None


def _part(pitch: PitchRow, words: str) -> AreaRow | None:
    """Return the part of a pitch that words name; whole by any usual word for it."""
    if SHARE_WORDS.get(words.strip().lower()) == "whole":
        return next(area for area in pitch.areas if area.cut == "whole")
    plain = plain_phrase(words)
    names = ((area, {plain_phrase(area.name), plain_phrase(area.key)}) for area in pitch.areas)
    return next((area for area, called in names if plain in called), None)
