"""Earliest start: from Monday to Friday no session starts before school is out."""

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

SATURDAY = 5


def too_early(terrain: Terrain, ask: Ask, stays: Stays) -> Mask | None:
    """Mark sessions from Monday to Friday that start before the ask's earliest start."""
    if ask.earliest_start_min is None or terrain.problem.days[stays.day].weekday >= SATURDAY:
        return None
    return np.asarray(stays.starts[None, :] < ask.earliest_start_min)


def _wanted(said: RuleSaid) -> str:
    start = clock(said.minute or 0)
    return _("is taken up no earlier than %(start)s, the earliest start", start=start)


RULE = Rule(
    code="earliest start",
    on_ask=too_early,
    words=Words(wanted=_wanted, but_for=lambda _said: _("the earliest start")),
    says=lambda _terrain, ask, _pitches: {"minute": ask.earliest_start_min},
)
