"""Floodlights: ground is floodlit or under a roof where an ask needs light."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from clubplanner.language import _
from clubplanner.sharing.rules.rule import Rule, Words

if TYPE_CHECKING:
    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.rules.rule import Mask
    from clubplanner.sharing.values.problem import Ask


def no_light(terrain: Terrain, ask: Ask) -> Mask | None:
    """Mark ground without light of its own for an ask that needs it."""
    if not ask.needs_light:
        return None
    grounds = terrain.problem.grounds
    return np.array([not (ground.is_lit or ground.is_indoor) for ground in grounds], dtype=bool)


RULE = Rule(
    code="floodlights",
    on_ground=no_light,
    words=Words(
        wanted=lambda _said: _("has floodlights"),
        but_for=lambda _said: _("floodlights"),
    ),
)
