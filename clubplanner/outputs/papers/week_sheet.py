"""A drawn week as one sheet of A4 or A3 on its side: for the committee and for the hall's door."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.outputs.papers.setting import set_sheet

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

PAPERS = ("a4", "a3")


@dataclass(frozen=True, slots=True)
class WeekSheet:
    """What stands on the sheet.

    Attributes:
        club: The club's name.
        venue: Where.
        week: The week in words.
        drawing: The week, SVG; blank where there is nothing to draw.
        words: The drawing in words, for those who have it read aloud.
        notes: What the drawing does not show, a sentence each.
        made: When the sheet was made, in words.
    """

    club: str
    venue: str
    week: str
    drawing: str
    words: str
    notes: tuple[str, ...]
    made: str


def set_week(
    sheet: WeekSheet, paper: str, source: str, fonts: Sequence[str], made_at: datetime
) -> bytes:
    """Set a week as a PDF of one page on its side.

    Args:
        sheet: What stands on it.
        paper: One of `PAPERS`.
        source: The typst source of the sheet.
        fonts: Folders or files of the fonts.
        made_at: Written into the file to the second: the same sheet gives the same bytes.

    Returns:
        A tagged PDF (PDF/UA-1), unless our fonts lack a letter.

    Raises:
        ValueError: If there is no such paper.
    """
    if paper not in PAPERS:
        raise ValueError(f"A week is set on {' or '.join(PAPERS)}, not on {paper}.")
    return set_sheet(sheet, source, fonts, made_at, paper=paper)
