"""Layouts by straight cuts alone, against every layout of that kind on small grounds."""

from __future__ import annotations

from functools import cache

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clubplanner.fitting.packing.rectangles import Packing
from clubplanner.fitting.packing.straight_cuts import pack_straight
from tests.fitting.packing.test_rectangles import fault_in_boxes


@cache
def most_by_cutting(x: int, y: int, length: int, width: int) -> int:
    """Count by trying every cut at every whole unit."""
    if (x, y) in {(length, width), (width, length)}:
        return 1
    if x * y < length * width:
        return 0
    along = (
        most_by_cutting(cut, y, length, width) + most_by_cutting(x - cut, y, length, width)
        for cut in range(1, x // 2 + 1)
    )
    across = (
        most_by_cutting(x, cut, length, width) + most_by_cutting(x, y - cut, length, width)
        for cut in range(1, y // 2 + 1)
    )
    return max(max(along, default=0), max(across, default=0))


@given(st.integers(1, 16), st.integers(1, 16), st.integers(1, 7), st.integers(1, 7))
def test_no_straight_cuts_lay_more(x: int, y: int, one: int, other: int) -> None:
    """On small grounds the count is that of trying every cut, and the layout is valid."""
    box = (max(one, other), min(one, other))
    boxes = pack_straight((x, y), box, 1_000)
    assert len(boxes) == most_by_cutting(x, y, *box)
    assert fault_in_boxes(Packing(tuple(boxes), len(boxes)), (x, y), box) is None


@pytest.mark.parametrize(("ground", "count"), [((42, 47), 47), ((84, 47), 94), ((87, 47), 94)])
def test_many_small_boxes(ground: tuple[int, int], count: int) -> None:
    """Forty-two by forty-seven is full with boxes of 7 × 6: 35 + 12 (worked out by hand)."""
    assert len(pack_straight(ground, (7, 6), 3_000)) == count


def test_more_blocks_than_allowed() -> None:
    """Beyond the work allowed nothing is laid."""
    assert pack_straight((87, 47), (7, 6), 100) == []
