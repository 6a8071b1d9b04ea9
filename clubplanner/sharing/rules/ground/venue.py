"""Venue: ground lies at one of the venues that will do."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from clubplanner.language import _
from clubplanner.sharing.rules.rule import Rule, Words

if TYPE_CHECKING:
    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.rules.rule import Mask
    from clubplanner.sharing.values.problem import Ask


def other_venue(terrain: Terrain, ask: Ask) -> Mask | None:
    """Mark ground at another venue than asked for."""
    if not ask.venues:
        return None
    return np.array([g.venue not in ask.venues for g in terrain.problem.grounds], dtype=bool)


RULE = Rule(
    code="venue",
    on_ground=other_venue,
    words=Words(
        wanted=lambda _said: _("lies at a venue named in the ask"),
        but_for=lambda _said: _("the venue"),
    ),
)
