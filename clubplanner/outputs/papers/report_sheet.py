"""A report on paper: A4 on its side, each table with its picture beside it."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING

from clubplanner.language import spoken
from clubplanner.outputs.papers.setting import set_paper

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime


@dataclass(frozen=True, slots=True)
class Meaning:
    """A figure's definition; `told` is the figure itself where there is a single one."""

    words: str
    meaning: str
    told: str = ""


@dataclass(frozen=True, slots=True)
class TableOnPaper:
    """A table with its picture.

    Attributes:
        title: What it shows.
        headings: Of its columns.
        texts: How many of these, from the left, are words; figures are set to the right.
        rows: Its lines, as words.
        total: The sum of them, as words.
        drawing: The picture, SVG; blank for none.
        drawing_words: The picture in words, for those who have it read aloud.
        meanings: The definitions of its figures; empty where they stand with an earlier table.
        note: A sentence on all of it; may be blank.
    """

    title: str
    headings: tuple[str, ...]
    texts: int
    rows: tuple[tuple[str, ...], ...]
    total: tuple[str, ...]
    drawing: str
    drawing_words: str
    meanings: tuple[Meaning, ...]
    note: str


@dataclass(frozen=True, slots=True)
class ReportOnPaper:
    """What stands on the paper.

    Attributes:
        club: The club's name.
        title: What it is.
        days: Its days in words.
        figures: The main figures.
        tables: Its tables in order.
        made: When it was made, in words.
    """

    club: str
    title: str
    days: str
    figures: tuple[Meaning, ...]
    tables: tuple[TableOnPaper, ...]
    made: str


def set_report(paper: ReportOnPaper, source: str, fonts: Sequence[str], made_at: datetime) -> bytes:
    """Set a report as a PDF of as many pages as it needs.

    Args:
        paper: What stands on it.
        source: The typst source of the paper.
        fonts: Folders or files of the fonts.
        made_at: Written into the file to the second: the same report gives the same bytes.

    Returns:
        A tagged PDF (PDF/UA-1), unless our fonts lack a letter.
    """
    data = json.dumps({**asdict(paper), "language": spoken()})
    return set_paper(source, data, fonts, made_at)
