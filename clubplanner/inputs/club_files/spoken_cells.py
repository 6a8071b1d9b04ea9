"""Cells of the squads and settings files in the language spoken now, and back: for forms.

The files themselves, and what is kept, have their English words; a form shows and takes those of
its reader. English words are understood in every language.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from clubplanner.domain.terms import SURFACES
from clubplanner.domain.times.windows import file_days, told_days
from clubplanner.inputs.club_files.squads_file.least_ground import SHARES
from clubplanner.inputs.club_files.squads_file.wants import PARTNERS
from clubplanner.language import marked, term

if TYPE_CHECKING:
    from collections.abc import Mapping

YES_NO = (marked("yes"), marked("no"))
EVERY = (marked("weekly"), marked("every second week"), marked("once"))
"""How often somebody who hires ground comes."""
_VOCABULARIES = {
    "every": EVERY,
    "needs goal": YES_NO,
    "needs light": YES_NO,
    "least ground": SHARES,
    "surface": SURFACES,
    "other squads": PARTNERS,
}
_DAYS = ("opening", "possible", "preferred", "free day before", "free day after", "wishes", "days")


def told_cells(cells: Mapping[str, str]) -> dict[str, str]:
    """Put the words of cells, by column, into the language spoken now."""
    return {column: _told(column, text) for column, text in cells.items()}


def file_cells(cells: Mapping[str, str]) -> dict[str, str]:
    """Put the words that were typed into cells, by column, back into those of the file."""
    return {column: _filed(column, text) for column, text in cells.items()}


def _told(column: str, text: str) -> str:
    if column in _DAYS:
        return told_days(text)
    return _exchange(text, {word: term(word) for word in _VOCABULARIES.get(column, ())})


def _filed(column: str, text: str) -> str:
    if column in _DAYS:
        return file_days(text)
    return _exchange(text, {term(word): word for word in _VOCABULARIES.get(column, ())})


def _exchange(text: str, words: Mapping[str, str]) -> str:
    """Replace whole words, the longer ones first, whatever their capitals."""
    if not words:
        return text
    known = {word.lower(): other for word, other in words.items()}
    longest = sorted(known, key=len, reverse=True)
    pattern = rf"(?<!\w)(?:{'|'.join(re.escape(word) for word in longest)})(?!\w)"
    return re.sub(pattern, lambda found: known[found[0].lower()], text, flags=re.IGNORECASE)
