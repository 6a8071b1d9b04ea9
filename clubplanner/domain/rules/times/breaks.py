"""Breaks: dates without training."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.domain.rules.case import Hindrance
from clubplanner.domain.times.times import short_day
from clubplanner.language import _, marked

if TYPE_CHECKING:
    from clubplanner.domain.rules.case import Case

NAME = marked("break")


def breaks(case: Case) -> Hindrance | None:
    """Refuse a training on a date of a break."""
    if not case.is_training:
        return None
    gap = next((one for one in case.scene.breaks if one.holds(case.day)), None)
    if gap is None:
        return None
    return Hindrance(
        NAME,
        _(
            "%(name)s, %(first)s to %(last)s: there is no training then.",
            name=gap.name,
            first=short_day(gap.starts_on),
            last=short_day(gap.ends_on),
        ),
    )
