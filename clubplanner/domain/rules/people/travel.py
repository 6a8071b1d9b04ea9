"""Travel: squad and coach have time for the way from one venue to another."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from clubplanner.domain.rules.case import Hindrance, where_and_when
from clubplanner.language import _, marked

if TYPE_CHECKING:
    from clubplanner.domain.rules.case import Case

NAME = marked("way between venues")


def travel(case: Case) -> Hindrance | None:
    """Refuse a time so near to a session at another venue that the way takes longer.

    Only the first coach binds, who answers for the squad; assistants can be elsewhere.
    """
    minutes = case.scene.club.travel_minutes
    if case.squad is None or minutes == 0:
        return None
    gap = timedelta(minutes=minutes)
    own = case.others_of(case.squad.key)
    of_coach = case.others_of(case.scene.coach_of(case.squad.key))
    for one in (*own, *of_coach):
        if case.scene.venue_of[one.pitch_key].key == case.venue.key:
            continue
        is_near = (
            one.during.starts_at < case.during.ends_at + gap
            and case.during.starts_at < one.during.ends_at + gap
        )
        if is_near and not one.during.overlaps(case.during):
            return Hindrance(
                NAME,
                _(
                    "The way from %(place)s (%(holder)s) takes %(minutes)s minutes.",
                    place=where_and_when(case.scene, one),
                    holder=one.holder,
                    minutes=minutes,
                ),
                holders=(one,),
            )
    return None
