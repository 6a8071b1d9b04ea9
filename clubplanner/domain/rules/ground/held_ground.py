"""Held ground: no two squads on the same ground at the same time."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.rules.case import Hindrance, where_and_when
from clubplanner.language import _, marked

if TYPE_CHECKING:
    from clubplanner.domain.rules.case import Case

NAME = marked("ground held")


def held_ground(case: Case) -> Hindrance | None:
    """Refuse ground of which somebody has a part at some moment; the database refuses it, too."""
    held = tuple(one for one in case.meeting if one.purpose is not Purpose.CLOSED)
    if not held:
        return None
    listed = "; ".join(
        _("%(holder)s have %(place)s", holder=one.holder, place=where_and_when(case.scene, one))
        for one in held
    )
    return Hindrance(NAME, f"{listed}.", is_final=True, holders=held)
