"""What came of one cell: words of our files, or what is not understood of it."""

from __future__ import annotations

from dataclasses import dataclass


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
