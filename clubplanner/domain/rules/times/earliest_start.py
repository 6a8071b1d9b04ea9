"""Earliest start: those of school age begin when school is out, as the table for their age says."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.domain.rules.case import Hindrance
from clubplanner.domain.times.times import clock_from_minute
from clubplanner.language import _, marked

if TYPE_CHECKING:
    from clubplanner.domain.rules.case import Case

NAME = marked("earliest start")
SATURDAY = 5


def earliest_start(case: Case) -> Hindrance | None:
    """Refuse a training from Monday to Friday that begins before school is out."""
    if not case.is_training or case.squad is None or case.day.weekday() >= SATURDAY:
        return None
    earliest = case.scene.club.rules.for_age(case.squad.age).earliest_start_min
    if earliest is None or case.start_min >= earliest:
        return None
    return Hindrance(
        NAME,
        _(
            "%(squad)s begin at %(earliest)s at the earliest, from Monday to Friday.",
            squad=case.holder,
            earliest=clock_from_minute(earliest),
        ),
    )
