"""What counts as lost in a report, and to what."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import TYPE_CHECKING

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.booked.closures import Condition
from clubplanner.domain.booked.session_state import Cause
from clubplanner.domain.times.hours_typed import range_typed_until
from clubplanner.services.evening.bookings import withdraw_booking
from clubplanner.services.evening.closures.closing import (
    ClosureWish,
    all_withdrawn,
    close_ground,
    foresee_closure,
)
from clubplanner.services.reports.report import make_report
from tests.builders import A_WEDNESDAY, LONDON
from tests.small_club import HALL, HARRIERS, KESTRELS, TOP, book, find_area_id
from tests.stores import booking_row

if TYPE_CHECKING:
    from clubplanner.services.reports.sums.report_values import Lost
    from clubplanner.store.engine import Store

AT_1640 = datetime(2026, 11, 25, 16, 40, tzinfo=UTC)


def lost(store: Store) -> list[tuple[Cause, str, bool, int, int]]:
    """Return cause, words, whether it was the weather, seconds and sessions, of November."""
    found: tuple[Lost, ...] = make_report(
        store, date(2026, 11, 1), date(2026, 11, 30), AT_1640
    ).lost
    return [(o.cause, o.words, o.is_weather, o.amount.seconds, o.amount.sessions) for o in found]


def close(store: Store, reason: str, *, all_off: bool = True) -> None:
    """Close the top pitch for the evening."""
    during = range_typed_until(A_WEDNESDAY, 16 * 60 + 40, A_WEDNESDAY, 24 * 60, LONDON)
    wish = ClosureWish(find_area_id(store, TOP, "whole"), during, Condition.CLOSED, reason)
    displaced = foresee_closure(store, wish, AT_1640).displaced
    close_ground(store, wish, all_withdrawn(displaced) if all_off else None, AT_1640)


def test_what_a_closure_called_off_is_lost_for_its_reason(small: Store) -> None:
    """Training and hires; the weather is told apart from other reasons by its words."""
    book(small)
    book(small, "Choir", "third-2", purpose=Purpose.HIRE, end_min=19 * 60)
    close(small, "waterlogged")
    assert sorted(lost(small)) == [
        (Cause.CLOSED, "waterlogged", True, 3600, 1),
        (Cause.CLOSED, "waterlogged", True, 4500, 1),
    ]


def test_what_found_other_ground_is_not_lost(small: Store) -> None:
    """A squad that went to the hall had its training."""
    book(small)
    close(small, "waterlogged", all_off=False)
    assert lost(small) == []
    (use,) = make_report(small, A_WEDNESDAY, A_WEDNESDAY, AT_1640).on_ground
    assert use.place.pitch_key == HALL


def test_other_reasons_are_not_the_weather(small: Store) -> None:
    """A pitch that is not safe, and what somebody called off."""
    book(small)
    close(small, "not safe")
    number = book(small, HARRIERS, "half-1", pitch_key=HALL, end_min=19 * 60)
    sequence = booking_row(small, number).sequence
    withdraw_booking(small, number, sequence, AT_1640, why="heavy rain")
    assert sorted(lost(small)) == [
        (Cause.CLOSED, "not safe", False, 4500, 1),
        (Cause.SAID, "heavy rain", True, 3600, 1),
    ]


def test_what_was_made_again_that_day_is_not_lost(small: Store) -> None:
    """A session called off with another of the squad made in its place on the same day."""
    book(small)
    close(small, "waterlogged")
    book(small, KESTRELS, "half-1", pitch_key=HALL, now=AT_1640)
    assert lost(small) == []
