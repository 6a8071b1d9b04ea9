"""Goal: a goal stands on the ground where an ask needs one."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from clubplanner.language import _
from clubplanner.sharing.rules.rule import Rule, Words

if TYPE_CHECKING:
    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.rules.rule import Mask
    from clubplanner.sharing.values.problem import Ask


def no_goal(terrain: Terrain, ask: Ask) -> Mask | None:
    """Mark ground without a goal for an ask that needs one."""
    if not ask.needs_goal:
        return None
    return np.array([not ground.has_goal for ground in terrain.problem.grounds], dtype=bool)


RULE = Rule(
    code="goal",
    on_ground=no_goal,
    words=Words(wanted=lambda _said: _("has a goal"), but_for=lambda _said: _("a goal")),
)
