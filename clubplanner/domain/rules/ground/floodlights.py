"""Floodlights: some squads train on lit or indoor ground only, whatever the season."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.domain.rules.case import Hindrance
from clubplanner.language import _, marked

if TYPE_CHECKING:
    from clubplanner.domain.rules.case import Case

NAME = marked("floodlights")


def floodlights(case: Case) -> Hindrance | None:
    """Refuse unlit outdoor ground where the ask is for lit ground."""
    if case.ask is None or not case.ask.needs_light or not case.pitch.needs_daylight:
        return None
    return Hindrance(
        NAME,
        _(
            "%(pitch)s has no floodlights; %(squad)s ask for lit ground.",
            pitch=case.pitch.name,
            squad=case.holder,
        ),
        is_own=True,
    )
