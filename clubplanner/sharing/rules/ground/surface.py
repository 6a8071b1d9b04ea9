"""Surface: ground is of one of the surfaces that will do."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from clubplanner.language import _, term
from clubplanner.sharing.rules.rule import Rule, Words
from clubplanner.sharing.values.words import listed

if TYPE_CHECKING:
    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.rules.rule import Mask
    from clubplanner.sharing.values.problem import Ask


def other_surface(terrain: Terrain, ask: Ask) -> Mask | None:
    """Mark ground of another surface than asked for."""
    if not ask.surfaces:
        return None
    return np.array([g.surface not in ask.surfaces for g in terrain.problem.grounds], dtype=bool)


RULE = Rule(
    code="surface",
    on_ground=other_surface,
    words=Words(
        wanted=lambda said: _(
            "is of %(surfaces)s", surfaces=listed([term(name) for name in said.names], "or")
        ),
        but_for=lambda _said: _("its surface"),
    ),
    says=lambda _terrain, ask, _pitches: {"names": tuple(sorted(ask.surfaces))},
)
