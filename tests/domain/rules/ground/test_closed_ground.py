"""The rule of closed ground."""

from __future__ import annotations

from clubplanner.domain.rules.ground.closed_ground import closed_ground
from tests.domain.rules.builders import (
    make_case,
    make_hire,
    make_match,
    make_scene,
    of_nobody,
    of_owls,
    words_of,
)

FROST = make_scene(of_nobody(start_min=1080, end_min=1140, area_key="whole"))


def test_nobody_is_on_closed_ground() -> None:
    """A moment and a cell will do, whoever it is; nobody overrules it."""
    for case in (make_case(FROST), make_match(FROST), make_hire(FROST), make_case(FROST, ask=None)):
        found = closed_ground(case)
        assert found is not None
        assert found.words == "Closed: Frost, Top pitch 18:00–19:00."
        assert found.is_final


def test_it_may_begin_when_the_ground_is_opened_again() -> None:
    """And end when it is closed."""
    assert closed_ground(make_case(FROST, start_min=1140, end_min=1200)) is None
    assert closed_ground(make_case(FROST, start_min=1020, end_min=1080)) is None
    assert closed_ground(make_case(FROST, start_min=1139, end_min=1200)) is not None


def test_a_closure_over_midnight_holds_on_the_next_morning() -> None:
    """Closed from 23:00 to 01:00."""
    scene = make_scene(of_nobody(start_min=1380, end_min=1500))
    assert closed_ground(make_case(scene, start_min=1440, end_min=1470)) is not None
    assert closed_ground(make_case(scene, start_min=1500, end_min=1530)) is None


def test_other_ground_is_open() -> None:
    """What is closed is one half; others' training closes nothing."""
    half = make_scene(of_nobody(area_key="half-2"), of_owls(2))
    assert words_of(closed_ground, make_case(half)) == ""
