"""Addresses to hand out: strips to cut off, on as many sheets of A4 as they need."""

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
class AddressStrip:
    """One strip.

    Attributes:
        name: Of the squad or coach.
        purpose: What the address is for.
        address: The address; it is secret.
        code: The same as a square code, SVG.
        code_words: What the code opens, for those who have it read aloud.
    """

    name: str
    purpose: str
    address: str
    code: str
    code_words: str


@dataclass(frozen=True, slots=True)
class AddressSheet:
    """What stands on the sheets.

    Attributes:
        club: The club's name.
        title: What it is, for the file.
        strips: One after the other.
        note: A sentence on every strip: how to use it and to keep it.
        made: When they were made, in words.
    """

    club: str
    title: str
    strips: tuple[AddressStrip, ...]
    note: str
    made: str


def set_addresses(
    sheet: AddressSheet, source: str, fonts: Sequence[str], made_at: datetime
) -> bytes:
    """Set addresses as a PDF; no strip goes over two pages.

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
