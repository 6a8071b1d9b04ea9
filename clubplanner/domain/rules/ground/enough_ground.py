"""Enough ground: the least size, part of a pitch, or form of the game that the squad asks for."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.domain.ground.grounds import AREA_SLACK_M2, SHARE_SLACK
from clubplanner.domain.rules.case import Hindrance
from clubplanner.language import _, figure, marked

if TYPE_CHECKING:
    from clubplanner.domain.ground.grounds import Area, Pitch
    from clubplanner.domain.rules.case import Case

NAME = marked("enough ground")


def enough_ground(case: Case) -> Hindrance | None:
    """Refuse ground that is smaller than the ask's least ground, or does not hold its form."""
    if case.ask is None:
        return None
    least = case.ask.least_ground
    if least.area_m2 and case.area.area_m2 < least.area_m2 - AREA_SLACK_M2:
        wanted = f"{figure(least.area_m2, '.0f')} m²"
    elif least.share and share_of_pitch(case.pitch, case.area) < least.share - SHARE_SLACK:
        wanted = _("%(percent)s %% of a pitch", percent=figure(100 * least.share, ".0f"))
    elif least.format_code and not case.scene.holds_form(case.pitch, case.area, least.format_code):
        wanted = _("room for %(form)s", form=least.format_code)
    else:
        return None
    return Hindrance(
        NAME,
        _(
            "%(area)s is too small; %(squad)s ask for %(wanted)s.",
            area=case.area.name,
            squad=case.holder,
            wanted=wanted,
        ),
        is_own=True,
    )


def share_of_pitch(pitch: Pitch, area: Area) -> float:
    """Return an area's size over that of its whole pitch, above 0 and up to 1."""
    return min(1.0, area.area_m2 / pitch.areas[0].area_m2)
