"""What is drawn of a venue's days: who is there, who was moved there, and who was to be there."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from clubplanner.outputs.charts.weeks.week_values import Sign
from clubplanner.services.showing.drawn_weeks import Shown, shown_booking

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from clubplanner.domain.booked.bookings import Booking
    from clubplanner.services.evening.missed import NotAsPlanned


def all_shown(
    bookings: Sequence[Booking],
    otherwise: NotAsPlanned,
    address: Callable[[Booking], str],
    chosen: int | None = None,
) -> list[Shown]:
    """Return bookings as they are drawn, marked by their numbers in the table, from 1.

    What was moved has the sign of it; what was to be there and is not comes last, without a number.

    Args:
        bookings: What is booked on the days.
        otherwise: What of the days is not as it was to be.
        address: Where a booking leads; blank for nowhere.
        chosen: Number of the booking that is looked at; None for none.
    """
    found = []
    for n, booking in enumerate(bookings, start=1):
        is_chosen = booking.number == chosen
        one = shown_booking(booking, mark=str(n), address=address(booking), is_chosen=is_chosen)
        moved = otherwise.moved.get(booking.number)
        if moved is not None:
            one = replace(one, sign=Sign.MOVED, told=moved.line)
        found.append(one)
    for missed in otherwise.missed:
        gone = shown_booking(missed.there)
        found.append(replace(gone, sign=Sign.GONE, told=missed.state.line))
    return found
