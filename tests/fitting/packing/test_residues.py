"""What must stay empty, told by remainders."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from clubplanner.fitting.packing.bounds import bound_shortened
from clubplanner.fitting.packing.residues import Residues
from clubplanner.fitting.packing.skyline import SkylineSearch


@given(st.integers(1, 60), st.integers(1, 60), st.integers(2, 12), st.integers(1, 11))
@settings(max_examples=50, deadline=None)
def test_whole_rectangles_give_barnes(big: int, small: int, length: int, width: int) -> None:
    """For a whole rectangle the waste of bars is that of Barnes, or more."""
    if width >= length:
        return
    wastes = []
    for side in (length, width):
        residues = Residues(side)
        wastes.append(residues.least(residues.start([((0, 0), (big, small))])))
    area = length * width
    assert max(0, (big * small - max(wastes)) // area) <= bound_shortened(
        (big, small), (length, width)
    )


@given(st.data(), st.sampled_from([(3, 2), (5, 2), (7, 3), (8, 3), (9, 5)]))
@settings(max_examples=40, deadline=None)
def test_boxes_never_change_a_table(data: st.DataObject, box: tuple[int, int]) -> None:
    """Laying a box changes nothing, so ground left empty is all that counts."""
    x, y = data.draw(st.integers(0, 20)), data.draw(st.integers(0, 20))
    size = data.draw(st.sampled_from([box, box[::-1]]))
    for side in box:
        residues = Residues(side)
        whole = residues.start([((0, 0), (40, 33))])
        assert residues.leave(whole, (x, y), size) == whole


def test_least_is_reached_by_the_ground_left_empty() -> None:
    """Once the ground that must stay empty is left, nothing more must be."""
    residues = Residues(4)
    whole = residues.start([((0, 0), (6, 6))])
    assert residues.least(whole) == 4
    assert residues.least(residues.leave(whole, (0, 0), (2, 2))) == 0
    assert residues.least(residues.leave(whole, (0, 0), (2, 1))) == 2


@pytest.mark.parametrize("modulus", [2, 3, 4, 5])
def test_small_tables_are_bounded_below_what_trying_everything_finds(modulus: int) -> None:
    """No table of whole numbers ≥ 0 of the same kind has a smaller total than the bound."""
    generator = np.random.default_rng(7)
    for _ in range(60):
        left = generator.integers(0, 3, (modulus, modulus))
        residues = Residues(modulus)
        whole = residues.start(
            [((0, 0), (2 * modulus, 2 * modulus))]
        )  # nothing has to stay empty of it
        number = whole
        for (x, y), patches in np.ndenumerate(left):
            for _patch in range(int(patches)):
                number = residues.leave(number, (x, y), (1, modulus - 1))
        # A patch of 1 × (m - 1) and one square more is a bar, which is nothing; so each patch left
        # asks for that one square more to be left.
        assert residues.least(number) <= int(left.sum())


def test_search_without_tables_agrees() -> None:
    """The tables only spare work: without them the search finds and refutes the same."""
    for ground, box in (((11, 9), (4, 3)), ((13, 7), (5, 2)), ((10, 10), (4, 3))):
        for count in range(ground[0] * ground[1] // (box[0] * box[1]) + 1):
            plain = SkylineSearch(ground, box, 100_000)
            plain.residues = ()
            quick = SkylineSearch(ground, box, 100_000)
            assert (plain.run(count) is None) == (quick.run(count) is None), (ground, box, count)
