"""Curfew: a session on floodlit ground ends before its lights go out, if it is dark by then."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from clubplanner.language import _
from clubplanner.sharing.ground.terrain import NEVER, once
from clubplanner.sharing.rules.rule import Rule, Words
from clubplanner.sharing.rules.times.light import dark_from

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.rules.rule import Mask, Stays


@once
def lights_out_from(terrain: Terrain) -> NDArray[np.int64]:
    """Return by ground and day from which minute its floodlights are off, `NEVER` for no rule."""
    problem = terrain.problem
    off = np.full((len(problem.grounds), len(problem.days)), NEVER, dtype=np.int64)
    at_venue: dict[str, list[int]] = {}
    for number, ground in enumerate(problem.grounds):
        at_venue.setdefault(ground.venue, []).append(number)
    for rule in problem.lights_out:
        for number in at_venue.get(rule.venue, ()):
            if rule.pitch in (None, problem.grounds[number].pitch):
                off[number, rule.day] = min(rule.from_min, int(off[number, rule.day]))
    return off


@once
def _lit_until(terrain: Terrain) -> NDArray[np.int64]:
    until = np.maximum(dark_from(terrain), lights_out_from(terrain))
    until[[not ground.is_lit for ground in terrain.problem.grounds]] = NEVER
    return until


def lights_off(terrain: Terrain, stays: Stays) -> Mask | None:
    """Mark sessions on lit ground that end in the dark after its lights have gone out."""
    if not terrain.problem.lights_out:
        return None
    return np.asarray(stays.ends[None, :] > _lit_until(terrain)[:, stays.day, None])


RULE = Rule(
    code="curfew",
    binds_pins=True,
    on_place=lights_off,
    words=Words(
        wanted=lambda _said: _("keeps its floodlights on until the end"),
        but_for=lambda _said: _("the hour at which floodlights go out"),
        of_pin=lambda _said: _("the floodlights go out before the end"),
    ),
)
