"""A report on paper: A4 on its side, each table with its picture beside it."""

from __future__ import annotations

from dataclasses import dataclass


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
