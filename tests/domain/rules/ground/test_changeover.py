"""The rule of time for changing over."""

from __future__ import annotations

from typing import Any

import pytest

from clubplanner.domain.rules.ground.changeover import changeover
from tests.domain.rules.builders import (
    TOP,
    make_case,
    make_hire,
    make_match,
    make_scene,
    of_hirer,
    of_nobody,
    of_owls,
    words_of,
)

OWLS = of_owls(7, start_min=1140, end_min=1200)
SCENE = make_scene(OWLS, changeover_minutes=15)
HALF = SCENE.pitches[TOP].area("half-1").name


@pytest.mark.parametrize(
    ("start_min", "end_min", "is_refused"),
    [
        (1065, 1125, False),
        (1065, 1126, True),
        (1065, 1140, True),
        (1215, 1260, False),
        (1214, 1260, True),
        (1100, 1150, False),  # held ground is another rule
    ],
)
def test_minutes_are_kept_on_both_sides(start_min: int, end_min: int, *, is_refused: bool) -> None:
    """A quarter of an hour before and after others; exactly that much will do."""
    case = make_case(SCENE, start_min=start_min, end_min=end_min)
    words = (
        f"15 minutes are kept free for changing over: U10 Owls have {HALF}, Top pitch 19:00–20:00."
    )
    assert words_of(changeover, case) == (words if is_refused else "")


def test_matches_and_hires_clear_the_ground_too() -> None:
    """Whoever comes, and whether or not somebody asked for it."""
    near: dict[str, Any] = {"start_min": 1065, "end_min": 1140}
    for case in (make_match, make_hire):
        assert changeover(case(SCENE, **near)) is not None
    assert changeover(make_case(SCENE, ask=None, **near)) is not None
    hired = make_scene(of_hirer(start_min=1140, end_min=1200), changeover_minutes=15)
    assert changeover(make_case(hired, **near)) is not None


def test_other_ground_closures_and_its_own_booking_need_none() -> None:
    """Nothing is set out anew there; nor does a club without the rule."""
    near: dict[str, Any] = {"start_min": 1065, "end_min": 1140}
    assert changeover(make_case(SCENE, area_key="half-2", **near)) is None
    assert changeover(make_case(SCENE, number=7, **near)) is None
    closed = make_scene(of_nobody(start_min=1140, end_min=1200), changeover_minutes=15)
    assert changeover(make_case(closed, **near)) is None
    assert changeover(make_case(make_scene(OWLS), **near)) is None


def test_it_reaches_over_midnight() -> None:
    """Who ends at 23:55 is in the way of who begins at midnight."""
    scene = make_scene(of_hirer(start_min=1380, end_min=1435), changeover_minutes=15)
    assert changeover(make_case(scene, start_min=1440, end_min=1500)) is not None
    assert changeover(make_case(scene, start_min=1450, end_min=1500)) is None
