"""Numbers with their nouns."""

from __future__ import annotations


def counted(number: int, noun: str) -> str:
    """Write a number with its noun: "1 session", "3 sessions".

    Args:
        number: How many.
        noun: In the singular; its plural ends in s.
    """
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"
