"""How words are searched: capitals, accents and signs make no difference, beginnings are enough."""

from __future__ import annotations

import re
import unicodedata
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

_WORD = re.compile(r"\d+|[^\W\d_]+")


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
