"""What plans come to, computed without a model."""

from __future__ import annotations

from itertools import product

from hypothesis import given
from hypothesis import strategies as st

from clubplanner.sharing.model.measures import most_attained, placing_points
from tests.sharing.builders import make_ask, make_pitch, make_problem


@given(
    asks=st.lists(
        st.tuples(st.sampled_from("abc"), st.integers(1, 9), st.integers(0, 3)), max_size=4
    ),
    bound=st.integers(0, 200),
)
def test_the_most_within_a_bound_is_that_of_all_numbers_of_sessions(
    asks: list[tuple[str, int, int]], bound: int
) -> None:
    """Every way to place so many sessions of each ask is looked at, first sessions counted."""
    problem = make_problem(
        make_pitch(),
        *(
            make_ask(f"{squad}{n}", squad=squad, priority=priority, sessions=max(1, most))
            for n, (squad, priority, most) in enumerate(asks)
        ),
    )
    placed = [most for _, _, most in asks]
    ways = product(*(range(most + 1) for most in placed))
    points = {placing_points(problem, way) for way in ways}
    assert most_attained(problem, placed, bound) == max(one for one in points if one <= bound)


def test_no_plan_misses_less_than_a_session() -> None:
    """Three squads with two sessions each count 36; then come 31 and 26."""
    asks = [make_ask(name, sessions=2) for name in "abc"]
    problem = make_problem(make_pitch(), *asks)
    assert most_attained(problem, [2, 2, 2], 36) == 36
    assert most_attained(problem, [2, 2, 2], 35) == 31
    assert most_attained(problem, [2, 2, 2], 30) == 26
