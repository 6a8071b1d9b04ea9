"""Enough ground: at least the size, the share of a pitch and the format that an ask names."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from clubplanner.domain.ground.grounds import AREA_SLACK_M2, SHARE_SLACK
from clubplanner.language import _
from clubplanner.sharing.rules.rule import Rule, Words
from clubplanner.sharing.values.words import listed, part_of_pitch, square_metres

if TYPE_CHECKING:
    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.rules.rule import Mask
    from clubplanner.sharing.values.facts import RuleSaid
    from clubplanner.sharing.values.problem import Ask


def too_small(terrain: Terrain, ask: Ask) -> Mask:
    """Mark ground smaller than asked for."""
    small = terrain.area_m2 < ask.least_m2 - AREA_SLACK_M2
    return np.asarray(small | (terrain.share_of_pitch < ask.least_share - SHARE_SLACK))


def lacks_format(terrain: Terrain, ask: Ask) -> Mask | None:
    """Mark ground that does not hold the format asked for."""
    wanted = ask.least_format
    if wanted is None:
        return None
    return np.array([wanted not in g.formats for g in terrain.problem.grounds], dtype=bool)


def _wanted_size(said: RuleSaid) -> str:
    sizes = [square_metres(said.area_m2)] if said.area_m2 else []
    if said.part:
        sizes.append(part_of_pitch(said.part))
    return _("is large enough (%(sizes)s)", sizes=listed(sizes))


SIZE = Rule(
    code="size",
    on_ground=too_small,
    words=Words(wanted=_wanted_size, but_for=lambda _said: _("its size")),
    says=lambda _terrain, ask, _pitches: {
        "area_m2": ask.least_m2 or None,
        "part": ask.least_share,
    },
)
FORMAT = Rule(
    code="format",
    on_ground=lacks_format,
    words=Words(
        wanted=lambda said: _("holds %(least_format)s", least_format=listed(said.names)),
        but_for=lambda _said: _("the format"),
    ),
    says=lambda _terrain, ask, _pitches: {"names": (ask.least_format or "",)},
)
