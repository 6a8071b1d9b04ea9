"""The notice board as one sheet of A4: a tagged PDF set by typst from data that is never code."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING

from clubplanner.language import _, spoken
from clubplanner.outputs.papers.setting import set_paper

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

LEAST_READABLE_PT = 20.0
"""Letters of this size stand about 5 mm high, 1/400 of two metres: our own choice, close to twice
the smallest that normal sight resolves (5 minutes of arc, ISO 8596; from memory)."""
PAGE_HEIGHT_MM, HEAD_MM, FOOT_MM, EDGE_MM = 297.0, 34.0, 36.0, 12.0
TALLEST_ROW_MM = 30.0
TWO_COLUMNS_FROM = 13
"""Rows from which on the sheet has two columns."""
PT_A_MM = 72 / 25.4
LETTERS_OF_ROW = 0.42
"""Size of the squad's letters as a part of the row's height."""


@dataclass(frozen=True, slots=True)
class SheetRow:
    """A line of the sheet.

    Attributes:
        times: Local times.
        who: The squad or whoever else.
        where: Area and pitch.
        drawing: The small plan, SVG.
        is_closed: Whether the ground is closed then.
        state: What became of the session, in words; blank for one that is on as planned.
        is_off: Whether nobody comes for it: its line is struck out.
    """

    times: str
    who: str
    where: str
    drawing: str
    is_closed: bool
    state: str = ""
    is_off: bool = False


@dataclass(frozen=True, slots=True)
class BoardSheet:
    """What stands on the sheet.

    Attributes:
        club: The club's name.
        venue: Where.
        day: The date in words.
        rows: By time; may be empty.
        notes: Conditions of the ground, a sentence each.
        code: A square code, SVG; blank for none.
        foot: A sentence beside it.
        made: When the sheet was made, in words.
    """

    club: str
    venue: str
    day: str
    rows: tuple[SheetRow, ...]
    notes: tuple[str, ...]
    code: str
    foot: str
    made: str


def columns_for(count: int) -> int:
    """Return how many columns so many rows take."""
    return 2 if count >= TWO_COLUMNS_FROM else 1


def row_height_mm(count: int, notes: int = 0) -> float:
    """Return the height of a row when so many share the sheet, millimetres."""
    room = PAGE_HEIGHT_MM - 2 * EDGE_MM - HEAD_MM - FOOT_MM - 9.0 * notes
    lines = -(-max(count, 1) // columns_for(count))
    return min(TALLEST_ROW_MM, room / lines)


def letters_pt(count: int, notes: int = 0) -> float:
    """Return the size of the squads' letters, points."""
    return row_height_mm(count, notes) * LETTERS_OF_ROW * PT_A_MM


def is_readable(count: int, notes: int = 0) -> bool:
    """Tell whether so many rows can still be read from two metres."""
    return letters_pt(count, notes) >= LEAST_READABLE_PT


def set_sheet(sheet: BoardSheet, source: str, fonts: Sequence[str], made_at: datetime) -> bytes:
    """Set the sheet as a PDF of one page.

    Args:
        sheet: What stands on it.
        source: The typst source of the sheet.
        fonts: Folders or files of the fonts.
        made_at: Written into the file to the second: the same sheet gives the same bytes.

    Returns:
        A tagged PDF (PDF/UA-1); where our fonts lack a letter, the machine's own are used too, and
        the file makes no such claim.
    """
    return set_paper(source, json.dumps(sheet_data(sheet)), fonts, made_at)


def sheet_data(sheet: BoardSheet) -> dict[str, object]:
    """Return what the typst source reads: the words, and the sizes that make them fit."""
    count, notes = len(sheet.rows), len(sheet.notes)
    return {
        **asdict(sheet),
        "language": spoken(),
        "closed": _("closed:"),
        "nothing": _("Nothing is booked here on this day."),
        "columns": columns_for(count),
        "row_mm": row_height_mm(count, notes),
        "letters_pt": letters_pt(count, notes),
    }
