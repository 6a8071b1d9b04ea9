"""Grounds and sizes as a person types them on the command line."""

from __future__ import annotations

import re

import shapely
from shapely import Polygon

from clubplanner.domain.problems import Problem
from clubplanner.errors import FaultyInputError
from clubplanner.fitting.outlines.pieces import LONGEST_GROUND_M

_NUMBER = r"[0-9]{1,9}(?:\.[0-9]{0,9})?|\.[0-9]{1,9}"
_SIZE = re.compile(rf"\s*({_NUMBER})\s*[x×X*]\s*({_NUMBER})\s*(?:m)?\s*")
_NO_NUMBER = re.compile(r"(?<![a-z])(?:nan|inf)", re.IGNORECASE)
_LONGEST_OUTLINE = 100_000
"""Letters of an outline; beyond this it is no ground drawn by hand."""


def size_from_words(words: str, where: str) -> tuple[float, float]:
    """Read "30x20" as metres.

    Args:
        words: Two numbers with an x between them.
        where: What it is the size of.

    Raises:
        FaultyInputError: If it is anything else, or not a length on a sports ground.
    """
    match = _SIZE.fullmatch(words)
    if match is None:
        raise faulty(
            where,
            "not-a-size",
            f"Give length and width in metres as 30x20 or 33.3x64, not {_short(words)}.",
        )
    length, width = float(match[1]), float(match[2])
    if min(length, width) < 1e-3 or max(length, width) > LONGEST_GROUND_M:
        raise faulty(
            where,
            "not-a-length",
            f"Give lengths of more than 0 and at most {LONGEST_GROUND_M:.0f} m, not "
            f"{_short(words)}.",
        )
    return length, width


def ground_from_words(words: str, where: str = "ground") -> Polygon:
    """Read a ground: "86x52", or a polygon as well-known text, in metres.

    Source of well-known text: OGC 06-103r4, Simple Features, clause 7.

    Args:
        words: As typed.
        where: What it is the outline of.

    Raises:
        FaultyInputError: If it cannot be used; the message says where an outline crosses itself.
    """
    if not words.strip()[:1].isalpha():
        return shapely.box(0, 0, *size_from_words(words, where))
    if len(words) > _LONGEST_OUTLINE:
        raise faulty(where, "too-long", "Give an outline of at most some thousand corners.")
    if _NO_NUMBER.search(words):
        raise faulty(where, "not-a-number", "Give every corner as two numbers in metres.")
    try:
        shape = shapely.from_wkt(words)
    except shapely.errors.GEOSException as fault:
        raise faulty(
            where,
            "not-an-outline",
            f"This is no polygon in well-known text: {_short(words)}. Write it as "
            "POLYGON ((0 0, 60 0, 60 30, 0 30, 0 0)), in metres.",
        ) from fault
    return _checked_outline(shape, words, where)


def check_distances(**distances: float) -> None:
    """Refuse distances that cannot be meant, by the name to show, all of them at once."""
    problems = [
        Problem(name, "not-a-distance", f"Give metres, 0 or more, not {value:g}.")
        for name, value in distances.items()
        if not 0 <= value <= LONGEST_GROUND_M
    ]
    if problems:
        raise FaultyInputError(problems)


def _checked_outline(shape: shapely.Geometry, words: str, where: str) -> Polygon:
    if not isinstance(shape, Polygon) or shape.is_empty:
        raise faulty(
            where, "not-a-polygon", f"Give one polygon that is not empty, not {_short(words)}."
        )
    flat = shapely.force_2d(shape)
    if not flat.is_valid:
        why = shapely.is_valid_reason(flat)
        raise faulty(
            where,
            "crosses-itself",
            f"The outline cannot be used ({why}); give its corners in order, without crossings.",
        )
    return flat


def _short(words: str) -> str:
    return f"“{words[:40]}…”" if len(words) > 40 else f"“{words}”"


def faulty(where: str, code: str, message: str) -> FaultyInputError:
    """Make the error of one fault."""
    return FaultyInputError([Problem(where, code, message)])
