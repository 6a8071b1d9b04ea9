"""Squads that only changed their names: known by their coach, their wishes and their age."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from clubplanner.domain.club.comparing_names import plain_name
from clubplanner.domain.club.squads import age_from_group
from clubplanner.domain.searching import plain_phrase

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

LEAST = 4
"""Points from which another name is proposed: a coach's name and their squad's age, or more."""
_GROUP = re.compile(r"\bu ?\d+\b|\d+")


def propose_renamed(
    new: Mapping[str, Sequence[Mapping[str, str]]], gone: Mapping[str, Sequence[Mapping[str, str]]]
) -> dict[str, str]:
    """Return for new squads which of those that are gone they are likely to be.

    Args:
        new: Rows of the squads file by the key of squads that are not known.
        gone: Rows as they stand by the key of known squads that a table does not have.

    Returns:
        New key to key so far, the likeliest pairs first; each squad in one pair at most.
    """
    pairs = sorted(
        (
            (-points, first, second)
            for first, rows in new.items()
            for second, before in gone.items()
            if (points := _points(rows, before)) >= LEAST
        ),
    )
    found: dict[str, str] = {}
    for _points_unused, first, second in pairs:
        if first not in found and second not in found.values():
            found[first] = second
    return found


def _points(rows: Sequence[Mapping[str, str]], before: Sequence[Mapping[str, str]]) -> int:
    """Tell how much speaks for two squads being one: a coach most, then name, wishes, age."""
    one, other = (rows or [{}])[0], (before or [{}])[0]
    points = 0
    if _is_alike(one, other, "coach e-mail"):
        points += 4
    elif _is_alike(one, other, "coach"):
        points += 3
    points += 2 * bool(_own_words(one) & _own_words(other))
    wanted = {row.get("possible") for row in rows} - {None, ""}
    points += 2 * bool(wanted and wanted == {row.get("possible") for row in before})
    age, was = (age_from_group(cells.get("age group", "")) for cells in (one, other))
    if age is not None and was is not None:
        points += 1 if 0 <= age - was <= 1 else -3  # a year older at most
    return points


def _is_alike(one: Mapping[str, str], other: Mapping[str, str], column: str) -> bool:
    value = plain_name(one.get(column, ""))
    return bool(value) and value == plain_name(other.get(column, ""))


def _own_words(cells: Mapping[str, str]) -> set[str]:
    """Return the words of a name besides its age group: "U12 Kestrels" is the Kestrels."""
    return {
        word
        for word in _GROUP.sub(" ", plain_phrase(cells.get("squad", ""))).split()
        if len(word) > 2
    }
