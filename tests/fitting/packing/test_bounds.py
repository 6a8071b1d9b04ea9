"""Upper bounds hold against trying everything."""

from __future__ import annotations

import pytest

from clubplanner.fitting.packing.bounds import (
    area_bound,
    barnes_bound,
    combinations,
    least_bound,
    slice_bound,
)
from tests.fitting.shapes import most_on_cells

SMALL = [
    (big, small, length, width)
    for big in range(1, 8)
    for small in range(1, big + 1)
    for length in range(2, 6)
    for width in range(1, min(length, 4))
    if big * small <= 36
]


def test_combinations_are_all_sums_in_order() -> None:
    """Sums of threes and fives up to twelve are listed once, in order."""
    assert combinations(12, 5, 3) == [0, 3, 5, 6, 8, 9, 10, 11, 12]


@pytest.mark.parametrize("width", [1, 2, 3])
def test_no_bound_is_below_the_true_count(width: int) -> None:
    """No bound ever says less than what trying everything finds."""
    for big, small, length, this_width in SMALL:
        if this_width != width:
            continue
        cells = frozenset((x, y) for x in range(big) for y in range(small))
        truth = most_on_cells(cells, length, width)
        ground, box = (big, small), (length, width)
        most = area_bound(ground, box)
        assert truth <= most
        assert truth <= barnes_bound(ground, box)
        assert truth <= slice_bound(ground, box, most)
        assert truth <= least_bound(ground, box) <= most


def test_barnes_sees_what_area_does_not() -> None:
    """Two by two bars of four by one leave four squares of a six by six ground."""
    assert area_bound((6, 6), (4, 1)) == 9
    assert barnes_bound((6, 6), (4, 1)) == 8


def test_bound_of_a_ground_too_small_is_zero() -> None:
    """A box longer than the ground does not fit at all."""
    assert least_bound((10, 4), (11, 3)) == 0
    assert least_bound((10, 4), (6, 5)) == 0


def test_sums_of_millimetres_agree_with_sums_one_by_one() -> None:
    """For many small boxes the sums are found by another road, and are the same."""
    by_hand = sorted({i * 7 + j * 5 for i in range(60) for j in range(80) if i * 7 + j * 5 <= 400})
    assert combinations(400, 7, 5) == by_hand
    thinner = {i * 3 + j * 2 for i in range(40) for j in range(60) if i * 3 + j * 2 <= 100}
    assert combinations(100, 3, 2) == sorted(thinner)


def test_very_many_boxes_are_bounded_without_slices() -> None:
    """For thousands of boxes the bound still holds what rows of boxes reach."""
    assert least_bound((1000, 600), (10, 6)) == 10_000
