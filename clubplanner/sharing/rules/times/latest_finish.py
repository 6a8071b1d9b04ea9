"""Latest finish: every session of an ask ends by then, as the club's table for its age says."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from clubplanner.language import _
from clubplanner.sharing.rules.rule import Rule, Words
from clubplanner.sharing.values.words import clock

if TYPE_CHECKING:
    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.rules.rule import Mask, Stays
    from clubplanner.sharing.values.facts import RuleSaid
    from clubplanner.sharing.values.problem import Ask


def too_late(_terrain: Terrain, ask: Ask, stays: Stays) -> Mask | None:
    """Mark sessions that end after the ask's latest finish."""
    if ask.latest_finish_min is None:
        return None
    return np.asarray(stays.ends[None, :] > ask.latest_finish_min)


def _wanted(said: RuleSaid) -> str:
    finish = clock(said.minute or 0)
    return _(
        "is over by %(latest_finish_min)s, the latest finish",
        latest_finish_min=finish,
    )


RULE = Rule(
    code="latest finish",
    on_ask=too_late,
    words=Words(wanted=_wanted, but_for=lambda _said: _("the latest finish")),
    says=lambda _terrain, ask, _pitches: {"minute": ask.latest_finish_min},
)
