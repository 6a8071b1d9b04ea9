"""How words are searched: capitals, accents and signs make no difference, beginnings are enough."""

from __future__ import annotations

import re
import unicodedata
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

_WORD = re.compile(r"\d+|[^\W\d_]+")
_LETTERS = str.maketrans({"ß": "ss", "ø": "o", "æ": "ae", "œ": "oe", "⁄": "/"})
_DOUBLED = re.compile(r"([aou])e")


def without_accents(text: str) -> str:
    """Return a text in small letters, each as its plain form."""
    apart = unicodedata.normalize("NFKD", text.casefold())
    return "".join(letter for letter in apart if not unicodedata.combining(letter))


def search_words(text: str) -> tuple[str, ...]:
    """Return the words of a text as they are searched: small letters without accents.

    What is neither letter nor digit parts words, and figures are words apart from letters: so
    "U-13", "u 13" and "U13" are the same.
    """
    return tuple(_WORD.findall(without_accents(text)))


def is_found_by(asked: Sequence[str], text: str) -> bool:
    """Tell whether each word asked for begins a word of a text; not true of no words."""
    there = search_words(text)
    return bool(asked) and all(any(word.startswith(one) for word in there) for one in asked)


def plain_word(text: str) -> str:
    """Return a word by which it is known in any usual spelling: Übungsleiter, UEBUNGSLEITER.

    Capitals, accents, and the two ways of writing umlauts do not count.
    """
    bare = without_accents(text.casefold().translate(_LETTERS))
    return _DOUBLED.sub(r"\1", bare.translate(_LETTERS))  # a half is 1⁄2, with a sign of its own


def plain_phrase(text: str) -> str:
    """Return the plain words of a phrase with single blanks between, signs left out."""
    return " ".join(re.findall(r"[^\W_]+", plain_word(text)))
