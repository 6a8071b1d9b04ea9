"""Areas, goals and the ground that can be played on."""

from __future__ import annotations

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import Polygon

from clubplanner.domain.ground.grounds import (
    GOAL_REACH_M,
    Goal,
    GoalKind,
    goals_on,
    usable_ground,
    yards_from_metres,
)
from clubplanner.geometry.shapes import rectangle
from tests.builders import make_area, make_pitch, make_venue
from tests.strategies import l_shapes


def goal_at(x_m: float, y_m: float, along_deg: float = 90.0) -> Goal:
    """Return a small fixed goal, 3 m wide."""
    return Goal(x_m, y_m, along_deg, 3.0, 2.0, GoalKind.FIXED)


def test_the_size_of_an_area_is_that_of_its_ground() -> None:
    """Length and width are extents; the ground leaves out what the outline leaves out."""
    area = make_area(Polygon([(5, 5), (45, 5), (45, 17), (27, 17), (27, 30), (5, 30)]))
    assert (area.length_m, area.width_m) == (40.0, 25.0)
    assert area.area_m2 == pytest.approx(40 * 12 + 22 * 13)


def test_the_mouth_of_a_goal_lies_along_its_line() -> None:
    """At an end it lies across the pitch, at a side along it."""
    assert goal_at(0, 20).mouth.bounds == pytest.approx((0, 18.5, 0, 21.5))
    assert goal_at(30, 0, 0.0).mouth.bounds == pytest.approx((28.5, 0, 31.5, 0))
    assert goal_at(10, 10, 45.0).mouth.length == pytest.approx(3.0)


def test_a_goal_is_on_an_area_when_its_whole_mouth_is() -> None:
    """On the edge or half a metre outside counts; one post on the neighbour's ground does not."""
    area = make_area(rectangle(0, 0, 50, 40))
    on_edge, inside, just_off = goal_at(0, 20), goal_at(25, 20), goal_at(-0.4, 20)
    too_far, half_over = goal_at(-GOAL_REACH_M - 0.2, 20), goal_at(0, 40)
    goals = (on_edge, too_far, inside, half_over, just_off)
    assert goals_on(area, goals) == (on_edge, inside, just_off)
    assert goals_on(area, ()) == ()


def test_each_half_has_one_goal_and_the_middle_third_none() -> None:
    """Goals at both ends are divided among the areas by where they stand."""
    pitch = make_pitch()
    counts = {area.key: len(goals_on(area, pitch.goals)) for area in pitch.areas}
    assert counts["whole"] == 2
    assert counts["half-1"] == counts["half-2"] == 1
    assert [counts[f"third-{n}"] for n in (1, 2, 3)] == [1, 0, 1]
    assert [counts[f"quarter-{n}"] for n in (1, 2, 3, 4)] == [1, 0, 0, 1]
    assert [counts[f"corner-{n}"] for n in (1, 2, 3, 4)] == [0, 0, 0, 0]


def test_a_pitch_knows_its_areas_by_key() -> None:
    """A key it does not have is a KeyError."""
    pitch = make_pitch()
    assert pitch.area("third-2").name == "Middle third"
    with pytest.raises(KeyError, match="third-9"):
        pitch.area("third-9")


@pytest.mark.parametrize(
    ("is_lit", "is_indoor", "needs"),
    [(False, False, True), (True, False, False), (False, True, False), (True, True, False)],
)
def test_only_unlit_ground_outdoors_needs_daylight(
    is_lit: bool, is_indoor: bool, needs: bool
) -> None:
    """Floodlights or a roof make ground usable after dark."""
    assert make_pitch(is_lit=is_lit, is_indoor=is_indoor).needs_daylight is needs


def test_without_obstacles_all_ground_is_usable() -> None:
    """An area is its own usable ground."""
    area = make_area()
    assert usable_ground(area, ()) == area.polygon


def test_an_obstacle_is_taken_out_with_its_clearance() -> None:
    """A pillar of 2 × 2 m with 1 m kept clear takes 16 m² as a hole."""
    area = make_area(rectangle(0, 0, 50, 40))
    pillar = rectangle(20, 20, 2, 2)
    bare, clear = usable_ground(area, (pillar,)), usable_ground(area, (pillar,), clearance_m=1.0)
    assert bare is not None
    assert clear is not None
    assert bare.area == pytest.approx(2000 - 4)
    assert clear.area == pytest.approx(2000 - 16)
    assert len(clear.interiors) == 1


def test_of_ground_cut_in_two_the_larger_piece_is_usable() -> None:
    """A store right across leaves the larger side."""
    ground = usable_ground(make_area(rectangle(0, 0, 50, 40)), (rectangle(30, -5, 2, 50),))
    assert ground is not None
    assert ground.bounds == (0, 0, 30, 40)


def test_ground_wholly_taken_is_not_usable() -> None:
    """An obstacle over the whole area, or over all but a sliver, leaves nothing."""
    area = make_area(rectangle(0, 0, 50, 40))
    assert usable_ground(area, (rectangle(-1, -1, 60, 60),)) is None
    assert usable_ground(area, (rectangle(0, 0, 50, 39.95),)) is None


@given(hall=l_shapes(), clearance=st.floats(0, 3))
def test_usable_ground_lies_in_the_area_clear_of_obstacles(hall: Polygon, clearance: float) -> None:
    """What is usable is part of the area and at least the clearance away from each obstacle."""
    obstacle = rectangle(2, 2, 1, 1)
    ground = usable_ground(make_area(hall), (obstacle,), clearance_m=clearance)
    if ground is None:
        return
    assert shapely.difference(ground, hall).area < 1e-6
    assert ground.distance(obstacle) >= clearance - 1e-6


def test_a_venue_holds_its_pitches() -> None:
    """The default venue has one pitch of its own."""
    venue = make_venue("Mill Field")
    assert [pitch.key for pitch in venue.pitches] == ["mill-field-top-pitch"]
    assert venue.pitches[0].venue_key == venue.key == "mill-field"


def test_lengths_are_converted_to_yards() -> None:
    """A length of 91.44 m is 100 yd."""
    assert yards_from_metres(91.44) == pytest.approx(100.0)
