"""What was, and how to get it back."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

from hypothesis import given
from hypothesis import strategies as st

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.booked.journal import (
    BookingState,
    ChangedBooking,
    changed_since,
    plan_undo,
    states_before,
)
from tests.builders import NOW

STATE = BookingState(
    pitch_id=1,
    area_id=1,
    starts_at=NOW + timedelta(hours=6),
    ends_at=NOW + timedelta(hours=7),
    purpose=Purpose.TRAINING,
    squad_id=1,
    holder="U12 Kestrels",
    note="",
    is_withdrawn=False,
    is_fixed=False,
)


def test_an_added_booking_is_withdrawn_again_not_removed() -> None:
    """Calendars keep what was added, so it is marked as withdrawn."""
    (taking,) = plan_undo([ChangedBooking(7, None, STATE)], NOW)
    assert taking.target == replace(STATE, is_withdrawn=True)


def test_what_is_over_before_and_after_is_left_alone() -> None:
    """A change of a time that has passed cannot be taken back; one that reaches ahead can."""
    past = replace(STATE, starts_at=NOW - timedelta(hours=2), ends_at=NOW - timedelta(hours=1))
    assert plan_undo([ChangedBooking(7, past, replace(past, is_withdrawn=True))], NOW) == ()
    assert plan_undo([ChangedBooking(7, STATE, past)], NOW)[0].target == STATE


def test_a_booking_changed_since_is_told() -> None:
    """Only an untouched booking, as the change left it, can be put back."""
    takings = plan_undo([ChangedBooking(7, STATE, replace(STATE, area_id=2))], NOW)
    assert changed_since(takings, {7: replace(STATE, area_id=2)}) == ()
    assert changed_since(takings, {7: replace(STATE, area_id=3)}) == takings
    assert changed_since(takings, {}) == takings


@given(st.lists(st.tuples(st.integers(1, 3), st.integers(1, 5)), max_size=12), st.data())
def test_any_moment_of_a_history_can_be_shown(
    steps: list[tuple[int, int]], data: st.DataObject
) -> None:
    """Unwinding the later changes gives exactly what stood after the earlier ones."""
    current: dict[int, BookingState] = {}
    moments = [dict(current)]
    history = []
    for number, area in steps:
        after = replace(STATE, area_id=area)
        history.append(ChangedBooking(number, current.get(number), after))
        current = {**current, number: after}
        moments.append(dict(current))
    cut = data.draw(st.integers(0, len(steps)))
    assert states_before(current, history[cut:]) == moments[cut]
