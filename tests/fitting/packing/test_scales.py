"""The same question in other units."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from clubplanner.fitting.packing.rectangles import Packing, pack_rectangle
from clubplanner.fitting.packing.scales import Scale, carry_over, other_scales
from tests.fitting.packing.test_rectangles import fault_in_boxes
from tests.fitting.shapes import most_on_cells


def combinations_of(side: int, box: tuple[int, int]) -> set[tuple[int, int]]:
    """List how many lengths and widths fit along a side together."""
    return {
        (i, j) for i in range(side // box[0] + 1) for j in range((side - i * box[0]) // box[1] + 1)
    }


def test_large_numbers_become_small_ones() -> None:
    """A ground of 1000 × 1000 with boxes of 205 × 159 is one of 19 × 19 with 4 × 3."""
    scales = other_scales((1000, 1000), (205, 159))
    assert scales is not None
    assert scales.simplest == Scale((19, 19), (4, 3))
    assert scales.bound == 30


@given(st.integers(40, 400), st.integers(40, 400), st.integers(20, 80), st.integers(11, 70))
@settings(max_examples=50, deadline=None)
def test_simplest_is_the_same_question(big: int, small: int, length: int, width: int) -> None:
    """The simplest units allow the same combinations along both sides."""
    if width >= length or min(big, small) < width or max(big, small) < length:
        return
    scales = other_scales((big, small), (length, width))
    if scales is None or scales.simplest is None:
        return
    for side, other in zip((big, small), scales.simplest.ground, strict=True):
        same = combinations_of(other, scales.simplest.box)
        assert same == combinations_of(side, (length, width))


def test_bound_is_never_below_the_true_count() -> None:
    """On every small ground the bound holds against trying everything."""
    for length, width in ((3, 2), (4, 3), (5, 2), (5, 3)):
        for big in range(length, 9):
            for small in range(width, min(big, 5) + 1):
                cells = frozenset((x, y) for x in range(big) for y in range(small))
                scales = other_scales((big, small), (length, width))
                assert scales is not None
                assert scales.bound >= most_on_cells(cells, length, width)


@given(st.integers(60, 300), st.integers(60, 300), st.integers(23, 60), st.integers(17, 50))
@settings(max_examples=30, deadline=None)
def test_carried_over_layouts_are_sound(big: int, small: int, length: int, width: int) -> None:
    """A layout found in other units lies inside and apart on the true ground."""
    if width >= length or min(big, small) < length:
        return
    scales = other_scales((big, small), (length, width))
    if scales is None or scales.simplest is None:
        return
    found = pack_rectangle(scales.simplest.ground, scales.simplest.box, skyline_steps=0)
    boxes = carry_over(list(found.boxes), scales.simplest, (length, width))
    assert len(boxes) == len(found.boxes)
    layout = Packing(tuple(boxes), found.bound)
    assert fault_in_boxes(layout, (big, small), (length, width)) is None


def test_nothing_is_carried_over_as_nothing() -> None:
    """An empty layout stays empty, and very long grounds are not looked at."""
    assert carry_over([], Scale((5, 5), (3, 2)), (30, 20)) == []
    assert other_scales((1000, 1000), (3, 2)) is None
