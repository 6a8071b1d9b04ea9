"""A month's statement on as many sheets of A4 as it needs."""

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
class SheetLine:
    """A line: when, what for, how long and what was taken off, the price, the amount; in words."""

    when: str
    what: str
    hours: str
    rate: str
    amount: str


@dataclass(frozen=True, slots=True)
class StatementSheet:
    """What stands on it.

    Attributes:
        club: The club's name.
        title: "Statement 17".
        name: Who owes, or the venue that the club owes.
        about: Who pays whom.
        month: Of which month.
        issued: When it was issued.
        taken_back: When and why it was taken back; blank where it stands.
        headings: Of the five columns.
        lines: In order.
        total_words: What the sum is called.
        total: The sum of the amounts.
        rounding: Where it is rounded.
        note: The treasurer's, of any number of lines; may be blank.
    """

    club: str
    title: str
    name: str
    about: str
    month: str
    issued: str
    taken_back: str
    headings: tuple[str, str, str, str, str]
    lines: tuple[SheetLine, ...]
    total_words: str
    total: str
    rounding: str
    note: str


def set_statement(
    sheet: StatementSheet, source: str, fonts: Sequence[str], made_at: datetime
) -> bytes:
    """Set a statement as a PDF; its headings come again on every page.

    Args:
        sheet: What stands on it.
        source: The typst source of the sheet.
        fonts: Folders or files of the fonts.
        made_at: Written into the file to the second.

    Returns:
        A tagged PDF (PDF/UA-1), unless our fonts lack a letter.
    """
    data = json.dumps({**asdict(sheet), "language": spoken()})
    return set_paper(source, data, fonts, made_at)
