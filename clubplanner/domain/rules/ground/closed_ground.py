"""Closed ground: nobody is on it until it is opened again."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.rules.case import Hindrance, where_and_when
from clubplanner.language import _, marked

if TYPE_CHECKING:
    from clubplanner.domain.rules.case import Case

NAME = marked("ground closed")


def closed_ground(case: Case) -> Hindrance | None:
    """Refuse ground of which a part is closed at some moment."""
    closed = tuple(one for one in case.meeting if one.purpose is Purpose.CLOSED)
    if not closed:
        return None
    listed = "; ".join(f"{one.holder}, {where_and_when(case.scene, one)}" for one in closed)
    return Hindrance(
        NAME, _("Closed: %(closures)s.", closures=listed), is_final=True, holders=closed
    )
