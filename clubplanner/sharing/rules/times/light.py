"""Light: a session on unlit outdoor ground ends before it is dark on any of its dates."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from clubplanner.language import _
from clubplanner.sharing.ground.terrain import NEVER, once
from clubplanner.sharing.rules.rule import Rule, Words

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.rules.rule import Mask, Stays


@once
def dark_from(terrain: Terrain) -> NDArray[np.int64]:
    """Return by ground and day from which minute it is dark around it, `NEVER` under a roof."""
    problem = terrain.problem
    dark = np.full((len(terrain.venues), len(problem.days)), NEVER, dtype=np.int64)
    numbers = {key: number for number, key in enumerate(terrain.venues)}
    for rule in problem.darkness:
        if rule.venue in numbers:
            at = numbers[rule.venue], rule.day
            dark[at] = min(rule.from_min, int(dark[at]))
    by_ground = dark[terrain.venue]
    by_ground[[ground.is_indoor for ground in problem.grounds]] = NEVER
    return by_ground


@once
def _unlit_until(terrain: Terrain) -> NDArray[np.int64]:
    until = dark_from(terrain).copy()
    until[[ground.is_lit for ground in terrain.problem.grounds]] = NEVER
    return until


def too_dark(terrain: Terrain, stays: Stays) -> Mask | None:
    """Mark sessions on unlit ground that end after dark."""
    if not terrain.problem.darkness:
        return None
    return np.asarray(stays.ends[None, :] > _unlit_until(terrain)[:, stays.day, None])


RULE = Rule(
    code="light",
    binds_pins=True,
    on_place=too_dark,
    words=Words(
        wanted=lambda _said: _("is not dark before the end"),
        but_for=lambda _said: _("daylight until the end"),
        of_pin=lambda _said: _("it is dark before the end"),
    ),
)
