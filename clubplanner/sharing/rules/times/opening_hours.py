"""Opening hours: a session lies wholly within one stretch in which its venue is open."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from clubplanner.language import _
from clubplanner.sharing.ground.terrain import once
from clubplanner.sharing.rules.rule import Rule, Words
from clubplanner.sharing.values.problem import merge_ranges

if TYPE_CHECKING:
    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.rules.rule import Mask, Stays


@once
def open_ranges(terrain: Terrain) -> dict[tuple[str, int], list[tuple[int, int]]]:
    """Return when each venue is open on each day, by key and day, ranges that touch as one."""
    raw: dict[tuple[str, int], list[tuple[int, int]]] = {}
    for opening in terrain.problem.openings:
        key = (opening.venue, opening.day)
        raw.setdefault(key, []).append((opening.start_min, opening.end_min))
    return {key: merge_ranges(ranges) for key, ranges in raw.items()}


def closed(terrain: Terrain, stays: Stays) -> Mask:
    """Mark sessions outside opening hours; on a day without dates every one."""
    is_open = np.zeros((len(terrain.venues), len(stays.starts)), dtype=bool)
    if terrain.problem.days[stays.day].dates:
        for number, venue in enumerate(terrain.venues):
            for start, end in open_ranges(terrain).get((venue, stays.day), ()):
                is_open[number] |= (stays.starts >= start) & (stays.ends <= end)
    return np.asarray(~is_open[terrain.venue])


RULE = Rule(
    code="opening hours",
    binds_pins=True,
    on_place=closed,
    words=Words(
        wanted=lambda _said: _("is open"),
        but_for=lambda _said: _("opening hours"),
        of_pin=lambda _said: _("the venue is closed then"),
    ),
)
