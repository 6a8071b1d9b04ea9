"""Bookings that share ground and time."""

from __future__ import annotations

from datetime import timedelta
from itertools import combinations
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clubplanner.domain.booked.bookings import Clash, Purpose, draft_booking, find_overlapping
from clubplanner.geometry.shapes import interior_overlap_m2
from tests.builders import make_booking, make_pitch, make_range
from tests.strategies import time_ranges

if TYPE_CHECKING:
    from clubplanner.domain.times.times import TimeRange

AFTERWARDS = make_range(start_min=19 * 60 + 15, end_min=20 * 60)


def test_a_booking_of_shared_ground_at_a_shared_time_is_found() -> None:
    """Another half of the same pitch is free, the whole pitch is not."""
    pitch = make_pitch()
    held = make_booking(area=pitch.area("half-1"))
    wish = held.during
    whole, other = pitch.area("whole").cells, pitch.area("half-2").cells
    assert find_overlapping(pitch.key, whole, wish, [held]) == (held,)
    assert find_overlapping(pitch.key, other, wish, [held]) == ()


@pytest.mark.parametrize(
    ("changes", "pitch_key", "cells"),
    [
        ({"is_withdrawn": True}, "marsh-lane-top-pitch", 1),
        ({}, "marsh-lane-far-pitch", 1),
        ({}, "marsh-lane-top-pitch", 0b110),
        ({"during": AFTERWARDS}, "marsh-lane-top-pitch", 1),
    ],
    ids=["withdrawn", "another pitch", "other cells", "touching time"],
)
def test_a_booking_that_shares_too_little_is_not_found(
    changes: dict[str, Any], pitch_key: str, cells: int
) -> None:
    """All of live, same pitch, a shared cell and a shared moment are needed."""
    held = make_booking(**changes)
    assert find_overlapping(pitch_key, cells, make_range(), [held]) == ()


def test_bookings_are_found_in_the_order_given() -> None:
    """Several are returned as they came, from any iterable."""
    held = [make_booking(n, cells=1 << n) for n in (3, 1, 2)]
    found = find_overlapping("marsh-lane-top-pitch", 0b1010, make_range(), iter(held))
    assert [booking.number for booking in found] == [3, 1]


@given(
    wish=time_ranges(),
    cells=st.integers(1, 15),
    held=st.lists(st.tuples(time_ranges(), st.integers(1, 15)), max_size=4),
)
def test_a_clash_needs_a_minute_and_a_cell_in_common(
    wish: TimeRange, cells: int, held: list[tuple[TimeRange, int]]
) -> None:
    """What is found agrees with looking at every cell in every minute."""
    bookings = [make_booking(n, during=at, cells=mask) for n, (at, mask) in enumerate(held)]
    found = find_overlapping("marsh-lane-top-pitch", cells, wish, bookings)
    taken = {
        (wish.starts_at + timedelta(minutes=m), c)
        for m in range(wish.minutes)
        for c in range(4)
        if cells >> c & 1
    }
    for booking in bookings:
        shares = any(booking.during.contains(at) and booking.cells >> c & 1 for at, c in taken)
        assert (booking in found) == shares


def test_areas_of_a_pitch_clash_exactly_when_they_share_ground() -> None:
    """Any two areas of a pitch with every cut clash when their ground overlaps, else not."""
    pitch = make_pitch()
    for one, other in combinations(pitch.areas, 2):
        held = make_booking(area=one)
        clashes = find_overlapping(pitch.key, other.cells, held.during, [held])
        assert bool(clashes) == (interior_overlap_m2(one.polygon, other.polygon) > 0.1)


def test_a_clash_says_who_holds_what_until_when() -> None:
    """The sentence names area, holder and clock times."""
    clash = Clash("U12 Kestrels", "Road third", "18:00", "19:15")
    assert clash.sentence == "Road third is held by U12 Kestrels 18:00–19:15"


def test_purposes_are_kept_under_these_words() -> None:
    """Records and files hold them, so they stay as they are."""
    assert [purpose.value for purpose in Purpose] == ["training", "match", "hire", "closed"]


def test_a_draft_of_a_booking_holds_its_ground_like_any_other() -> None:
    """It has no identity in calendars yet, is not withdrawn, and changed when it begins."""
    pitch, during = make_pitch(), make_range()
    half = pitch.area("half-1")
    draft = draft_booking(
        -1, during, Purpose.CLOSED, pitch_key=pitch.key, area_key=half.key, cells=half.cells
    )
    assert find_overlapping(pitch.key, half.cells, during, [draft]) == (draft,)
    assert (draft.uid, draft.sequence, draft.is_withdrawn, draft.is_fixed) == ("", 0, False, True)
    assert draft.changed_at == during.starts_at
    assert draft_booking(0, during, Purpose.CLOSED, changed_at=during.ends_at).changed_at == (
        during.ends_at
    )
