"""Equal boxes in a box: layouts are sound, and proofs are true."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from clubplanner.fitting.packing.rectangles import Packing, pack_rectangle
from tests.fitting.shapes import most_on_cells


def fault_in_boxes(packing: Packing, ground: tuple[int, int], box: tuple[int, int]) -> str | None:
    """Say what is wrong with a layout in whole units, or None."""
    seen: list[tuple[int, int, int, int]] = []
    for x, y, is_standing in packing.boxes:
        a, b = box[::-1] if is_standing else box
        if x < 0 or y < 0 or x + a > ground[0] or y + b > ground[1]:
            return f"the box at {x}, {y} leaves the ground"
        for u, v, c, d in seen:
            if x < u + c and u < x + a and y < v + d and v < y + b:
                return f"the box at {x}, {y} overlaps another"
        seen.append((x, y, a, b))
    return None


@pytest.mark.parametrize("length", [2, 3, 4, 5])
def test_small_questions_match_trying_everything(length: int) -> None:
    """On every small ground the count is the true one, and is proved."""
    for width in range(1, length):
        for big in range(2, 9):
            for small in range(2, big + 1):
                if big * small > 36:
                    continue
                cells = frozenset((x, y) for x in range(big) for y in range(small))
                packing = pack_rectangle((big, small), (length, width))
                truth = most_on_cells(cells, length, width)
                assert len(packing.boxes) == truth, (big, small, length, width)
                assert packing.bound == truth, (big, small, length, width)
                assert fault_in_boxes(packing, (big, small), (length, width)) is None


@given(st.integers(1, 140), st.integers(1, 140), st.integers(1, 40), st.integers(1, 40))
@settings(max_examples=50, deadline=None)
def test_layouts_are_sound(big: int, small: int, length: int, width: int) -> None:
    """Boxes lie inside, apart from each other, and never outnumber the bound."""
    packing = pack_rectangle((big, small), (length, width), block_steps=1500, skyline_steps=300)
    if len(packing.boxes) > 300:
        return
    assert fault_in_boxes(packing, (big, small), (length, width)) is None
    assert len(packing.boxes) <= packing.bound
    assert packing.is_proved == (len(packing.boxes) == packing.bound)


@given(st.integers(5, 60), st.integers(5, 60), st.integers(2, 12), st.integers(2, 12))
@settings(max_examples=30, deadline=None)
def test_turning_ground_or_box_changes_nothing(
    big: int, small: int, length: int, width: int
) -> None:
    """The count is the same for a turned ground and for length and width exchanged."""
    counts = {
        len(pack_rectangle(ground, box, block_steps=1500, skyline_steps=0).boxes)
        for ground in ((big, small), (small, big))
        for box in ((length, width), (width, length))
    }
    rows = max(
        (big // length) * (small // width),
        (big // width) * (small // length),
    )
    assert min(counts) >= rows
    assert max(counts) - min(counts) <= 1  # a cut list may run out of steps a little earlier


def test_same_question_same_answer() -> None:
    """Work is counted in steps, so the answer does not depend on the clock."""
    first = pack_rectangle((490, 280), (80, 30))
    assert first == pack_rectangle((490, 280), (80, 30))


def test_enough_stops_early_and_keeps_the_bound_honest() -> None:
    """With enough boxes placed the search stops, and does not claim a proof."""
    packing = pack_rectangle((49, 28), (8, 3), enough=10)
    assert len(packing.boxes) >= 10
    assert packing.bound == 57
    assert not packing.is_proved
