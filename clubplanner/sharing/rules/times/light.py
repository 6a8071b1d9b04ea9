"""Light: on unlit outdoor ground a session begins and ends in the light on all of its dates."""

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


@once
def _unlit_from(terrain: Terrain) -> NDArray[np.int64]:
    """Return by ground and day from which minute it is light enough on it, 0 for always."""
    problem = terrain.problem
    light = np.zeros((len(terrain.venues), len(problem.days)), dtype=np.int64)
    numbers = {key: number for number, key in enumerate(terrain.venues)}
    for rule in problem.darkness:
        if rule.venue in numbers:
            at = numbers[rule.venue], rule.day
            light[at] = max(rule.dawn_min or 0, int(light[at]))
    by_ground = light[terrain.venue]
    by_ground[[ground.is_indoor or ground.is_lit for ground in problem.grounds]] = 0
    return by_ground


def too_dark(terrain: Terrain, stays: Stays) -> Mask | None:
    """Mark sessions on unlit ground that begin before it is light or end after dark."""
    if not terrain.problem.darkness:
        return None
    early = stays.starts[None, :] < _unlit_from(terrain)[:, stays.day, None]
    late = stays.ends[None, :] > _unlit_until(terrain)[:, stays.day, None]
    return np.asarray(early | late)


RULE = Rule(
    code="light",
    binds_pins=True,
    on_place=too_dark,
    words=Words(
        wanted=lambda _said: _("is light from beginning to end"),
        but_for=lambda _said: _("daylight from beginning to end"),
        of_pin=lambda _said: _("it is too dark at its beginning or end"),
    ),
)
