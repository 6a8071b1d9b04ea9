"""Changeover: time between two bookings of the same ground, to clear it and to set out anew."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.rules.case import Hindrance, where_and_when
from clubplanner.language import _, marked

if TYPE_CHECKING:
    from clubplanner.domain.rules.case import Case

NAME = marked("changeover")


def changeover(case: Case) -> Hindrance | None:
    """Refuse what begins too soon after others on the same ground, or ends too shortly before."""
    minutes = case.scene.club.changeover_minutes
    if minutes == 0:
        return None
    gap = timedelta(minutes=minutes)
    near = tuple(
        booking
        for booking in case.others_on_pitch
        if booking.purpose is not Purpose.CLOSED
        and booking.cells & case.area.cells
        and not booking.during.overlaps(case.during)
        and booking.during.starts_at < case.during.ends_at + gap
        and case.during.starts_at < booking.during.ends_at + gap
    )
    if not near:
        return None
    listed = "; ".join(
        _("%(holder)s have %(place)s", holder=one.holder, place=where_and_when(case.scene, one))
        for one in near
    )
    return Hindrance(
        NAME,
        _(
            "%(minutes)s minutes are kept free for changing over: %(holders)s.",
            minutes=minutes,
            holders=listed,
        ),
        holders=near,
    )
