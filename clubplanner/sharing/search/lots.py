"""Lots of plans, and how one is divided in two."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Mapping

    from clubplanner.sharing.ground.terrain import Terrain

SMALL = 1e-5
"""A part of a session that is none."""

AskDay = tuple[int, int]
"""Number of an ask and index of a day."""


@dataclass(frozen=True, slots=True)
class Plans:
    """Some of all plans.

    Attributes:
        on_day: Whether an ask has a session on a day; asks and days left out are open.
        counts: The least and the most sessions of an ask; asks left out are open.
        most: Points that none of them passes.
    """

    most: int
    on_day: Mapping[AskDay, bool] = field(default_factory=dict)
    counts: Mapping[int, tuple[int, int]] = field(default_factory=dict)

    def with_day(self, key: AskDay, *, has: bool) -> Plans:
        """Return those in which an ask has a session on a day, or none."""
        return replace(self, on_day={**self.on_day, key: has})

    def with_count(self, ask: int, least: int, most: int) -> Plans:
        """Return those in which an ask has so many sessions."""
        return replace(self, counts={**self.counts, ask: (least, most)})


def near_half(part: float) -> float:
    """Weigh a part of a session by how near it is to a half."""
    return -abs(part - 0.5)


def is_divisible(parts: Mapping[AskDay, float]) -> bool:
    """Tell whether there is an ask with a part of a session on a day."""
    return any(abs(part - round(part)) > SMALL for part in parts.values())


def halves(
    terrain: Terrain,
    lot: Plans,
    parts: Mapping[AskDay, float],
    weigh: Callable[[float], float],
) -> tuple[Plans, Plans]:
    """Divide a lot by the number of an ask's sessions, or else by a day of an ask.

    Args:
        terrain: The problem's columns.
        lot: Plans.
        parts: The part of a session that each ask has on each day.
        weigh: Weighs a part of a session; where that is most, the lot is divided.

    Returns:
        The two, the likelier last.
    """
    counts: dict[int, float] = defaultdict(float)
    for (ask, _), part in parts.items():
        counts[ask] += part
    asks = terrain.problem.asks
    worth = {ask: asks[ask].priority * abs(sum_ - round(sum_)) for ask, sum_ in counts.items()}
    ask = max(worth, key=worth.__getitem__)
    if worth[ask] > 10 * SMALL:
        under = int(np.floor(counts[ask]))
        least, most = lot.counts.get(ask, (0, asks[ask].sessions))
        few = lot.with_count(ask, least, under)
        many = lot.with_count(ask, under + 1, most)
        return (many, few) if counts[ask] - under < 0.5 else (few, many)
    open_ = {key: part for key, part in parts.items() if abs(part - round(part)) > SMALL}
    key = max(open_, key=lambda key: weigh(open_[key]))
    has, has_not = _with_session(terrain, lot, key, parts), lot.with_day(key, has=False)
    return (has_not, has) if open_[key] >= 0.5 else (has, has_not)


def _with_session(terrain: Terrain, lot: Plans, key: AskDay, keys: Collection[AskDay]) -> Plans:
    """Return the plans of a lot in which an ask has a session on a day, and no other once full."""
    ask = key[0]
    own = {one for one, has in lot.on_day.items() if has and one[0] == ask} | {key}
    lot = lot.with_day(key, has=True)
    if len(own) < lot.counts.get(ask, (0, terrain.problem.asks[ask].sessions))[1]:
        return lot
    for one in keys:
        if one[0] == ask and one not in own:
            lot = lot.with_day(one, has=False)
    return lot
