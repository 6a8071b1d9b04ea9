"""Tests of who is next door, and which way."""

from __future__ import annotations

from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clubplanner.domain.booked.bookings import Booking, Purpose
from clubplanner.domain.times.times import TimeRange
from clubplanner.services.showing.ground.neighbours import Neighbour, neighbours_of
from tests.builders import make_booking, make_pitch, make_range

NAMES = {
    "start": "Clubhouse end",
    "far": "Road end",
    "left": "Car park side",
    "right": "Brook side",
}
PITCH = make_pitch(edge_names=NAMES)


def on(key: str, number: int = 2, **changes: object) -> Booking:
    """Return a booking of an area."""
    return make_booking(number, area=PITCH.area(key), holder=f"Squad {number}", **changes)


def look(own: str, *others: Booking) -> tuple[Neighbour, ...]:
    """Look from an area at other bookings."""
    return neighbours_of(PITCH, on(own, 1), others)


@pytest.mark.parametrize(
    ("own", "other", "way"),
    [
        ("third-2", "third-1", "towards the clubhouse end"),
        ("third-2", "third-3", "towards the road end"),
        ("corner-1", "corner-2", "towards the car park side"),
        ("corner-2", "corner-1", "towards the brook side"),
        ("corner-1", "corner-3", "towards the road end"),
    ],
)
def test_each_way_has_the_name_of_its_end_or_side(own: str, other: str, way: str) -> None:
    """A neighbour is towards the end or side that lies their way."""
    (found,) = look(own, on(other))
    assert found.direction == way
    assert found.is_next_door
    assert found.sentence == f"Squad 2 on {PITCH.area(other).name}, {way}"


def test_who_does_not_touch_is_there_but_not_next_door() -> None:
    """Those across free ground come after those next door."""
    found = look("quarter-1", on("quarter-4", 2), on("quarter-2", 3))
    assert [(n.booking.number, n.is_next_door) for n in found] == [(3, True), (2, False)]


def test_a_closure_is_called_closed() -> None:
    """Closed ground is said to be closed, with the reason."""
    (found,) = look("half-1", on("half-2", purpose=Purpose.CLOSED))
    assert found.sentence == "Road half is closed (Squad 2), towards the road end"


def test_others_elsewhere_or_at_other_times_are_left_out() -> None:
    """Another pitch, another time, a withdrawn booking and the own one are no neighbours."""
    own = on("half-1", 1)
    others = (
        own,
        on("half-2", 2, pitch_key="somewhere-else"),
        on("half-2", 3, is_withdrawn=True),
        on("half-2", 4, during=make_range(start_min=19 * 60 + 15, end_min=20 * 60)),
        on("half-2", 5, during=make_range(start_min=17 * 60, end_min=18 * 60)),
    )
    assert neighbours_of(PITCH, own, others) == ()


@given(st.integers(-200, 200), st.integers(1, 120))
def test_neighbours_are_exactly_those_who_share_a_moment(late: int, minutes: int) -> None:
    """A booking counts when, and only when, the two overlap."""
    own = on("half-1", 1)
    start = own.during.starts_at + timedelta(minutes=late)
    during = TimeRange(start, start + timedelta(minutes=minutes))
    found = look("half-1", on("half-2", during=during))
    assert bool(found) == (late < 75 and late + minutes > 0)
