"""What no plan of the whole can pass, from what is proved of the pieces into which it falls.

Placing, fairness, wishes, days apart, cost and dead time of a plan are sums over its pieces, and
the worst-off squad is that of the piece which serves its own worst. So bounds on the first aim add
up as they are. A later aim's bound holds for plans that keep the aims before; a plan of the whole
may keep their sums and yet differ in each piece, unless every piece is proved to have as much as it
can. Nor does a piece whose own worst-off squad is better off than that of the whole have to keep
that. Evenings of a venue belong to all pieces together: what one of them proves of its own evenings
says nothing of the whole, which may keep that aim and differ in each piece. Where a bound does not
carry over, what each squad could have by itself stands in its stead.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.sharing.model.aim import Over
from clubplanner.sharing.model.aim_book import aim_named

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from clubplanner.sharing.values.outcome import Level


def bounds_of_whole(
    names: Sequence[str],
    pieces: Sequence[tuple[Sequence[Level], Mapping[str, int]]],
    values: Mapping[str, int],
) -> dict[str, int]:
    """Put the bounds of pieces together.

    Args:
        names: The aims, in order.
        pieces: Of each piece the aims that are known of it, in order, and what its squads cannot
            pass by themselves.
        values: What the plan of the whole comes to.

    Returns:
        For each aim what no plan can pass that keeps the aims before it.
    """
    found: dict[str, int] = {}
    are_kept = [True] * len(pieces)
    for place, name in enumerate(names):
        if aim_named(name).over is Over.COMMON:
            are_kept = [False] * len(pieces)
        is_open = not all(are_kept)
        told = []
        for number, (levels, alone) in enumerate(pieces):
            if place >= len(levels):
                told.append(alone[name])
                are_kept[number] = False
                continue
            level = levels[place]
            holds = not is_open and _keeps_worst(levels[:place], values)
            told.append(level.bound if holds else alone[name])
            is_sure = level.is_proved and (holds or level.value == alone[name])
            are_kept[number] = are_kept[number] and is_sure
        found[name] = _together(name, told)
    return found


def _keeps_worst(before: Sequence[Level], values: Mapping[str, int]) -> bool:
    """Tell whether a piece is held to no more than the whole is for the worst-off squad."""
    leasts = [level for level in before if aim_named(level.name).over is Over.LEAST]
    return all(level.value <= values[level.name] for level in leasts)


def _together(name: str, told: Sequence[int]) -> int:
    if aim_named(name).over is Over.LEAST:
        return min(told, default=100)
    return sum(told)
