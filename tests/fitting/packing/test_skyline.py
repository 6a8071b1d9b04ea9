"""The search through every layout along its skyline."""

from __future__ import annotations

import pytest

from clubplanner.fitting.packing.skyline import OutOfStepsError, SkylineSearch
from tests.fitting.shapes import most_on_cells


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
