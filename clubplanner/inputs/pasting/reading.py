"""What came of one cell: words of our files, or what is not understood of it."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass

_LETTERS = str.maketrans({"ß": "ss", "ø": "o", "æ": "ae", "œ": "oe", "⁄": "/"})
_DOUBLED = re.compile(r"([aou])e")


@dataclass(frozen=True, slots=True)
class Reading:
    """What was read from a cell.

    Attributes:
        text: The words of our files; blank where nothing was said, or where something is asked.
        faults: What is not understood, a sentence each; none when all is.
        choices: What may have been meant, in words of our files; none where that cannot be said.
    """

    text: str = ""
    faults: tuple[str, ...] = ()
    choices: tuple[str, ...] = ()


def words_of(text: str) -> frozenset[str]:
    """Return the words of a list with blanks between, for tables of words."""
    return frozenset(text.split())


def plain_word(text: str) -> str:
    """Return a word by which it is known in any usual spelling: Übungsleiter, UEBUNGSLEITER.

    Capitals, accents, and the two ways of writing umlauts do not count.
    """
    folded = text.casefold().translate(_LETTERS)
    parts = unicodedata.normalize("NFKD", folded)  # a half becomes 1⁄2, with a sign of its own
    bare = "".join(c for c in parts if not unicodedata.combining(c)).translate(_LETTERS)
    return _DOUBLED.sub(r"\1", bare)


def plain_phrase(text: str) -> str:
    """Return the plain words of a phrase with single blanks between, signs left out."""
    return " ".join(re.findall(r"[^\W_]+", plain_word(text)))
