"""The rule of ground that somebody holds."""

from __future__ import annotations

from dataclasses import replace

import pytest

from clubplanner.domain.rules.ground.held_ground import held_ground
from tests.domain.rules.builders import (
    booked,
    make_case,
    make_hire,
    make_match,
    make_scene,
    of_hirer,
    of_nobody,
    of_owls,
    words_of,
)

OWLS = of_owls(7, area_key="third-2", start_min=1140, end_min=1200)
SCENE = make_scene(OWLS)


@pytest.mark.parametrize(
    ("area_key", "start_min", "end_min", "is_refused"),
    [
        ("half-1", 1080, 1155, True),  # crossing cuts share ground
        ("half-1", 1080, 1140, False),  # over when they begin
        ("half-1", 1080, 1141, True),
        ("half-1", 1200, 1260, False),  # begins when they are over
        ("half-1", 1199, 1260, True),
        ("third-1", 1080, 1155, False),  # their neighbours
        ("whole", 1150, 1160, True),  # in the midst of theirs
    ],
)
def test_no_two_on_the_same_ground_at_the_same_moment(
    area_key: str, start_min: int, end_min: int, *, is_refused: bool
) -> None:
    """Sessions that touch in time or along a line do not meet."""
    case = make_case(SCENE, area_key=area_key, start_min=start_min, end_min=end_min)
    words = "U10 Owls have Middle third, Top pitch 19:00–20:00."
    assert words_of(held_ground, case) == (words if is_refused else "")


def test_everybody_is_bound_by_it_and_nobody_overrules_it() -> None:
    """Training, match and hire, with an ask or without; who holds it is told."""
    for case in (make_case(SCENE), make_match(SCENE), make_hire(SCENE), make_case(SCENE, ask=None)):
        found = held_ground(case)
        assert found is not None
        assert (found.is_final, found.is_own, found.holders) == (True, False, (OWLS,))


def test_a_booking_is_not_in_its_own_way() -> None:
    """Nor is another pitch's, a closure (that is another rule), or one given back."""
    assert held_ground(make_case(SCENE, number=7)) is None
    elsewhere = replace(OWLS, pitch_key="hill-road-far-pitch")
    given_back = replace(OWLS, is_withdrawn=True)
    closed = of_nobody(3)
    assert held_ground(make_case(make_scene(elsewhere, given_back, closed))) is None


def test_over_midnight_an_evening_meets_the_next_day() -> None:
    """What begins at 23:00 holds its ground at 00:30."""
    scene = make_scene(of_hirer(start_min=1380, end_min=1500))
    early = booked(start_min=1470, end_min=1530).during
    assert held_ground(make_case(scene, during=early)) is not None
    assert held_ground(make_case(scene, start_min=1500, end_min=1560)) is None


def test_all_who_hold_it_are_named() -> None:
    """In the order of their start."""
    scene = make_scene(of_owls(1, start_min=1080, end_min=1110), of_hirer(2, start_min=1120))
    half = make_case(scene).area.name
    assert words_of(held_ground, make_case(scene)) == (
        f"U10 Owls have {half}, Top pitch 18:00–18:30; Choir have {half}, Top pitch 18:40–19:15."
    )
