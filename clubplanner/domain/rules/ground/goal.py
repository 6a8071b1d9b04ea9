"""Goal: a goal stands on the ground, where the squad asks for one."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.domain.ground.grounds import may_have_goal
from clubplanner.domain.rules.case import Hindrance
from clubplanner.language import _, marked

if TYPE_CHECKING:
    from clubplanner.domain.rules.case import Case

NAME = marked("goal")


def goal(case: Case) -> Hindrance | None:
    """Refuse ground without a goal where the ask is for one."""
    if case.ask is None or not case.ask.needs_goal or may_have_goal(case.area, case.pitch):
        return None
    return Hindrance(
        NAME,
        _(
            "No goal stands on %(area)s; %(squad)s ask for one.",
            area=case.area.name,
            squad=case.holder,
        ),
        is_own=True,
    )
