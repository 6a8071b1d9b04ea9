"""Which cuts, markings and areas to leave out of a pitch that falls into too many pieces."""

from __future__ import annotations

from itertools import combinations
from typing import TYPE_CHECKING

from clubplanner.geometry.cells import MOST_CELLS, TooManyCellsError, find_cells
from clubplanner.language import _

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping, Sequence

    from shapely import Polygon

MOST_NAMED = 4
"""So many of those that help are named, the most helpful first."""
MOST_SEARCHED = 150
"""With more areas than this nothing is searched: each try cuts the whole pitch anew, and a pitch is
drawn while it is typed."""
MOST_PAIRED = 8
"""So many of the most helpful are tried in pairs."""
MOST_TOGETHER = 6
"""A longer list of what to leave out together is of no use to anybody."""


def advise(parts: Mapping[str, Sequence[Polygon]], pieces: int) -> str:
    """Say what to leave out of a pitch.

    Args:
        parts: The polygons of each part of the plan that can be left out as one, by its name; what
            goes with every plan, such as the whole pitch, has the name "".
        pieces: How many pieces there are with all of them, more than can be kept apart.

    Returns:
        Sentences: the parts of which one is enough, else a pair or a few that are enough together;
        where these would be many, no names.
    """
    said = _(
        "The areas cut the pitch into %(pieces)s pieces; at most %(most)s can be kept apart.",
        pieces=pieces,
        most=MOST_CELLS,
    )
    many = _("Leave out cuts, markings or areas that are not booked.")
    if sum(map(len, parts.values())) > MOST_SEARCHED:
        return f"{said} {many}"
    names = [name for name in parts if name]
    left = {name: _count(parts, {name}) for name in names}
    ranked = sorted(names, key=lambda name: left[name])
    enough = [name for name in ranked if left[name] <= MOST_CELLS][:MOST_NAMED]
    if enough:
        lines = ", ".join(
            _("“%(part)s” (then %(pieces)s)", part=name, pieces=left[name]) for name in enough
        )
        advice = _("Leave out one that is not booked: %(parts)s.", parts=lines)
    else:
        out, count = _enough_in_pairs(parts, ranked) or _enough_together(parts, ranked)
        if len(out) > MOST_TOGETHER:
            return f"{said} {many}"
        quoted = ", ".join(_("“%(part)s”", part=name) for name in out)
        advice = _(
            "Leave these out, or others like them: %(parts)s (then %(pieces)s).",
            parts=quoted,
            pieces=count,
        )
    return f"{said} {advice}"


def _enough_in_pairs(
    parts: Mapping[str, Sequence[Polygon]], ranked: Sequence[str]
) -> tuple[list[str], int] | None:
    """Leave out two parts, the most helpful first; None where no two that are tried are enough."""
    for pair in combinations(ranked[:MOST_PAIRED], 2):
        count = _count(parts, pair)
        if count <= MOST_CELLS:
            return list(pair), count
    return None


def _enough_together(
    parts: Mapping[str, Sequence[Polygon]], ranked: Sequence[str]
) -> tuple[list[str], int]:
    """Leave out one part after the other, the most helpful first, until few enough are left.

    Ends with one more than is named where so many are not enough.
    """
    out: list[str] = []
    count = 0
    for name in ranked[: MOST_TOGETHER + 1]:
        out.append(name)
        count = _count(parts, out)
        if count <= MOST_CELLS:
            break
    return out, count


def _count(parts: Mapping[str, Sequence[Polygon]], without: Collection[str]) -> int:
    """Return how many pieces there are without some parts."""
    areas = [area for name, shapes in parts.items() if name not in without for area in shapes]
    try:
        return len(find_cells(areas))
    except TooManyCellsError as fault:
        return fault.pieces
