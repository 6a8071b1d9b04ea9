"""Equal boxes in a box: layouts are sound, and proofs are true."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from clubplanner.fitting.packing.blocks import pack_blocks
from clubplanner.fitting.packing.rectangles import Packing, pack_rectangle
from clubplanner.fitting.packing.skyline import OutOfStepsError, SkylineSearch
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
@settings(max_examples=120, deadline=None)
def test_layouts_are_sound(big: int, small: int, length: int, width: int) -> None:
    """Boxes lie inside, apart from each other, and never outnumber the bound."""
    packing = pack_rectangle((big, small), (length, width), block_steps=1500, skyline_steps=300)
    if len(packing.boxes) > 300:
        return
    assert fault_in_boxes(packing, (big, small), (length, width)) is None
    assert len(packing.boxes) <= packing.bound
    assert packing.is_proved == (len(packing.boxes) == packing.bound)


@given(st.integers(5, 60), st.integers(5, 60), st.integers(2, 12), st.integers(2, 12))
@settings(max_examples=60, deadline=None)
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


def test_blocks_find_a_pinwheel() -> None:
    """Four boxes of two by three go round an empty middle, which straight cuts cannot do."""
    assert len(pack_blocks((5, 5), (3, 2), 4, 2000)) == 4


def test_skyline_finds_and_refutes() -> None:
    """The search through every layout finds what is there and refutes what is not."""
    assert len(SkylineSearch((5, 5), (3, 2), 5000).run(4) or []) == 4
    assert SkylineSearch((6, 6), (4, 1), 50000).run(9) is None


@pytest.mark.parametrize("box", [(2, 1), (3, 1), (3, 2), (4, 1), (5, 2)])
def test_skyline_finds_every_count_there_is(box: tuple[int, int]) -> None:
    """However much ground may stay empty, every count up to the true one is found, and no more."""
    for big in range(2, 8):
        for small in range(2, 6):
            cells = frozenset((x, y) for x in range(big) for y in range(small))
            truth = most_on_cells(cells, *box)
            search = SkylineSearch((small, big), box, 100_000)
            for count in range(big * small // (box[0] * box[1]) + 1):
                found = search.run(count)
                assert (found is not None) == (count <= truth), (big, small, count)
                assert found is None or len(found) == count


def test_skyline_says_when_it_is_cut_short() -> None:
    """A search that runs out of steps never claims that there is no layout."""
    with pytest.raises(OutOfStepsError):
        SkylineSearch((49, 28), (8, 3), 50).run(57)
