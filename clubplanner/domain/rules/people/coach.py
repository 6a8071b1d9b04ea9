"""Coach: nobody is in two places at once, neither a squad nor who coaches it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.domain.rules.case import Hindrance, where_and_when
from clubplanner.language import _, marked

if TYPE_CHECKING:
    from clubplanner.domain.rules.case import Case

NAME = marked("one place at a time")


def coach(case: Case) -> Hindrance | None:
    """Refuse a time at which the squad or its coach is somewhere else.

    Only the first coach binds, who answers for the squad; assistants can be elsewhere.
    """
    if case.squad is None:
        return None
    for one in case.others_of(case.squad.key):
        if one.during.overlaps(case.during):
            return Hindrance(
                NAME,
                _(
                    "%(squad)s also have %(place)s.",
                    squad=case.holder,
                    place=where_and_when(case.scene, one),
                ),
                holders=(one,),
            )
    for one in case.others_of(case.scene.coach_of(case.squad.key)):
        if one.during.overlaps(case.during):
            return Hindrance(
                NAME,
                _(
                    "%(coach)s is also with %(holder)s on %(place)s.",
                    coach=case.squad.coach.strip(),
                    holder=one.holder,
                    place=where_and_when(case.scene, one),
                ),
                holders=(one,),
            )
    return None
