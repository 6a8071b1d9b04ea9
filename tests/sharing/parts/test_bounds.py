"""Bounds of pieces hold for the whole exactly where they may."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from clubplanner.sharing.parts.bounds import bounds_of_whole
from clubplanner.sharing.values.levels import (
    APART,
    COST,
    EVEN,
    FAIRNESS,
    FEW,
    PLACING,
    WISHES,
    WORST_OFF,
)
from clubplanner.sharing.values.outcome import Level

if TYPE_CHECKING:
    from collections.abc import Sequence

NAMES = (PLACING, WORST_OFF, FAIRNESS, WISHES)
ALONE = {PLACING: 100, WORST_OFF: 100, FAIRNESS: 0, WISHES: 500}


def levels(*pairs: tuple[int, int], names: Sequence[str] = NAMES) -> list[Level]:
    """Return aims with their values and bounds."""
    return [
        Level(name, value, bound, value == bound, 0.0)
        for name, (value, bound) in zip(names, pairs, strict=False)
    ]


def test_proved_pieces_add_up() -> None:
    """Sums of sums, the least of the worst; nothing is lost where all is proved."""
    one = levels((50, 50), (60, 60), (7, 7), (300, 300))
    two = levels((40, 40), (60, 60), (5, 5), (200, 210))
    values = {PLACING: 90, WORST_OFF: 60, FAIRNESS: 12, WISHES: 500}
    found = bounds_of_whole(NAMES, [(one, ALONE), (two, ALONE)], values)
    assert found == {PLACING: 90, WORST_OFF: 60, FAIRNESS: 12, WISHES: 510}


def test_an_open_aim_of_one_piece_frees_the_later_aims_of_all() -> None:
    """Another piece could have less for it, and so more of what comes after."""
    one = levels((50, 51), (60, 60), (7, 7), (300, 300))
    two = levels((40, 40), (60, 60), (5, 5), (200, 200))
    values = {PLACING: 90, WORST_OFF: 60, FAIRNESS: 12, WISHES: 500}
    found = bounds_of_whole(NAMES, [(one, ALONE), (two, ALONE)], values)
    assert found == {PLACING: 91, WORST_OFF: 100, FAIRNESS: 0, WISHES: 1000}


def test_a_piece_need_not_keep_a_better_worst_than_that_of_the_whole() -> None:
    """What it proved with its own worst-off squad held higher does not bind the whole."""
    one = levels((50, 50), (80, 80), (7, 7), (300, 300))
    two = levels((40, 40), (60, 60), (5, 5), (200, 200))
    values = {PLACING: 90, WORST_OFF: 60, FAIRNESS: 12, WISHES: 500}
    found = bounds_of_whole(NAMES, [(one, ALONE), (two, ALONE)], values)
    assert (found[PLACING], found[WORST_OFF]) == (90, 60)
    assert found[FAIRNESS] == 0 + 5
    assert found[WISHES] == 1000


def test_a_piece_of_which_nothing_is_known_has_what_its_squads_could_have_alone() -> None:
    """Its aims are bounded by each squad by itself, and the later ones of all others as well."""
    one = levels((50, 50), (60, 60), (7, 7), (300, 300))
    found = bounds_of_whole(NAMES, [(one, ALONE), ((), ALONE)], {WORST_OFF: 0})
    assert found == {PLACING: 150, WORST_OFF: 100, FAIRNESS: 0, WISHES: 1000}


@pytest.mark.parametrize("evenings", [EVEN, FEW])
def test_evenings_belong_to_all_pieces(evenings: str) -> None:
    """Days apart add up; what a piece proves of its evenings, and of what follows, does not."""
    names = (PLACING, APART, evenings, COST)
    alone = {PLACING: 100, APART: 0, evenings: 0, COST: 0}
    one = levels((50, 50), (3, 3), (8, 8), (20, 20), names=names)
    two = levels((40, 40), (2, 2), (6, 6), (10, 10), names=names)
    values = {PLACING: 90, APART: 5, evenings: 14, COST: 30, WORST_OFF: 100}
    found = bounds_of_whole(names, [(one, alone), (two, alone)], values)
    assert found == {PLACING: 90, APART: 5, evenings: 0, COST: 0}
