"""The order in which cones are walked to."""

from __future__ import annotations

from itertools import combinations, pairwise, permutations

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from clubplanner.fitting.setting_out.walking import MOST_MOVED, order_walk, walk_length_m

SPOTS = st.lists(
    st.tuples(st.integers(0, 100), st.integers(0, 64)).map(lambda s: (float(s[0]), float(s[1]))),
    min_size=1,
    max_size=18,
    unique=True,
)


@given(SPOTS)
def test_every_cone_is_walked_to_once_and_no_leg_crosses_another(
    spots: list[tuple[float, float]],
) -> None:
    """The walk from the way in visits each spot once, and its legs do not cross."""
    order = order_walk((-1.0, -1.0), spots)
    assert sorted(order) == list(range(len(spots)))
    walk = [(-1.0, -1.0), *(spots[n] for n in order)]
    legs = [shapely.LineString(leg) for leg in pairwise(walk)]
    assert not any(one.crosses(other) for one, other in combinations(legs, 2))


@given(SPOTS)
def test_no_turn_and_no_move_makes_a_walk_shorter(spots: list[tuple[float, float]]) -> None:
    """Every stretch turned round, every few cones put elsewhere either way: nothing is shorter."""
    start = (-1.0, 30.0)
    walk = [spots[n] for n in order_walk(start, spots)]
    others = [
        [*walk[:i], *reversed(walk[i:j]), *walk[j:]]
        for i, j in combinations(range(len(walk) + 1), 2)
    ]
    for i in range(len(walk)):
        for j in range(i + 1, min(i + MOST_MOVED, len(walk)) + 1):
            few, left = walk[i:j], [*walk[:i], *walk[j:]]
            others += [
                [*left[:at], *put, *left[at:]]
                for at in range(len(left) + 1)
                for put in (few, few[::-1])
            ]
    length = walk_length_m(start, walk)
    assert all(walk_length_m(start, other) >= length - 2e-6 for other in others)


@given(SPOTS.filter(lambda spots: len(spots) <= 6))
def test_a_short_walk_is_nearly_the_shortest(spots: list[tuple[float, float]]) -> None:
    """Held against all orders there are, the walk is at most a tenth longer than the shortest."""
    start = (-1.0, 30.0)
    walk = walk_length_m(start, [spots[n] for n in order_walk(start, spots)])
    best = min(walk_length_m(start, order) for order in permutations(spots))
    assert walk <= 1.1 * best + 1e-6


@pytest.mark.parametrize("gap", [0.5, 3.0, 12.0])
def test_two_games_side_by_side_are_walked_the_shortest_way(gap: float) -> None:
    """No order of the eight corners of two games is shorter than the one that is told."""
    spots = [(x, y) for x in (10.0, 30.0) for y in (3.0, 28.0, 28.0 + gap, 53.0 + gap)]
    walk = [spots[n] for n in order_walk((0.0, 0.0), spots)]
    best = min(walk_length_m((0.0, 0.0), order) for order in permutations(spots))
    assert walk_length_m((0.0, 0.0), walk) == pytest.approx(best)


def test_without_cones_there_is_no_walk() -> None:
    """Nothing to lay out, nowhere to go."""
    assert order_walk((0.0, 0.0), []) == []
