"""No more ground than is asked for, as the share-out weighs it."""

from __future__ import annotations

import pytest

from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.wishes.close_ground import ground_points
from tests.sharing.builders import make_ask, make_pitch, make_problem


@pytest.mark.parametrize(
    ("wanted", "points"),
    [
        ({}, [0, 0, 0, 0]),
        ({"least_m2": 6000.0}, [10, 10, 10, 10]),
        ({"least_m2": 3000.0}, [5, 10, 10, 10]),
        ({"least_m2": 1500.0}, [2, 5, 5, 7]),
        ({"least_share": 0.5}, [5, 10, 10, 10]),
    ],
)
def test_ground_twice_as_large_as_asked_for_has_half_the_points(
    wanted: dict[str, float], points: list[int]
) -> None:
    """Rounded down; ground that is too small is for the rule to keep out."""
    grounds = make_pitch(cuts=("whole", "halves", "thirds"))[:4]
    ask = make_ask("a", **wanted)
    assert ground_points(survey(make_problem(grounds, ask)), ask).tolist() == points
