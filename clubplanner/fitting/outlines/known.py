"""Answers kept while people type.

A coach asks about one piece of ground again and again with other numbers, and most of the sizes
tried are the same each time. Answers are values that depend on the question alone, so the last
ones are kept; a question asked again costs a look.
"""

from __future__ import annotations

from functools import lru_cache

from clubplanner.fitting.outlines.largest import fit_largest
from clubplanner.fitting.outlines.pieces import fit_pieces

KEPT = 4096
"""Questions; an answer takes a few kilobytes at most."""

fit_pieces_again = lru_cache(maxsize=KEPT)(fit_pieces)
fit_largest_again = lru_cache(maxsize=KEPT)(fit_largest)


def forget_all() -> None:
    """Drop every answer, to see how long a first question takes."""
    fit_pieces_again.cache_clear()
    fit_largest_again.cache_clear()
