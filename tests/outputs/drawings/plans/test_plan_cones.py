"""Cones, their numbers and the distances to them on a ground plan."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from clubplanner.domain.ground.orientation.facing import Edge
from clubplanner.outputs.drawings.plan_values import GroundPlan, PlanPiece
from clubplanner.outputs.drawings.plans.ground_plan import draw_ground_plan
from clubplanner.outputs.drawings.plans.plan_cones import PlanCone, PlanDimension, lay_cones
from tests.builders import make_pitch
from tests.outputs.clear_drawings import faults_of
from tests.outputs.example_drawings import read_drawing
from tests.outputs.plans_drawn import own

PITCH = make_pitch()
"""100 × 60 m."""
THIRD = PITCH.area("third-1").polygon
PIECE = PlanPiece(shapely.box(5, 10, 30, 30), "4 v 4", 25, 20)
CORNERS = [(5.0, 10.0), (30.0, 10.0), (30.0, 30.0), (5.0, 30.0)]


def drawn(
    cones: list[PlanCone],
    dimensions: list[PlanDimension] | None = None,
    at_bottom: Edge = Edge.RIGHT,
) -> str:
    """Draw cones on a third with one game."""
    plan = GroundPlan(
        PITCH, "t", "s", (own(THIRD),), pieces=(PIECE,), focus=THIRD, at_bottom=at_bottom
    )
    return draw_ground_plan(plan, tallest=300.0, overlay=lay_cones(cones, dimensions or [], THIRD))


@settings(max_examples=30, deadline=None)
@given(
    st.lists(st.tuples(st.floats(0, 33), st.floats(0, 60), st.booleans()), min_size=1, max_size=30),
    st.sampled_from(list(Edge)),
)
def test_numbers_of_cones_anywhere_cover_nothing(
    spots: list[tuple[float, float, bool]], at_bottom: Edge
) -> None:
    """However cones lie, their numbers keep off lines, cones and other words."""
    cones = [PlanCone(x, y, str(n), is_goal) for n, (x, y, is_goal) in enumerate(spots, start=1)]
    legs = [PlanDimension((0, y), (x, y), f"{x:.1f} m") for x, y, _goal in spots]
    assert faults_of(drawn(cones, legs, at_bottom)) == []


@pytest.mark.parametrize("at_bottom", list(Edge))
def test_numbers_stand_beside_their_cones_outside_of_the_game(at_bottom: Edge) -> None:
    """With room, each number stands within a few units of its cone, away from the game."""
    cones = [PlanCone(*spot, str(n + 4), away=(17.5, 20)) for n, spot in enumerate(CORNERS)]
    drawing = read_drawing(drawn(cones, at_bottom=at_bottom))
    (game,) = [path.polygon for path in drawing.paths if path.attributes.get("fill-opacity")]
    (signs,) = [path for path in drawing.paths if len(path.runs) == len(CORNERS)]
    for cone, run in zip(cones, signs.runs, strict=True):
        words = drawing.text(cone.number)
        middle = shapely.Polygon(run).centroid
        assert math.dist((words.x, words.y), (middle.x, middle.y)) <= 16
        assert not game.contains(shapely.Point(words.x, words.y))


def test_goals_have_a_number_and_no_cone() -> None:
    """A goal that is carried is drawn by its own line; only its number is added."""
    drawing = read_drawing(drawn([PlanCone(5, 20, "9", is_goal=True)]))
    assert drawing.words().count("9") == 1
    assert len(drawing.paths) == len(read_drawing(drawn([])).paths)


def test_a_dimension_is_drawn_where_its_words_have_room() -> None:
    """A distance with room is a line with its words; one that is too short is left to the list."""
    long = PlanDimension((17.0, 0.0), (17.0, 10.0), "10 m")
    short = PlanDimension((25.0, 9.5), (25.0, 10.0), "0.5 m")
    words = read_drawing(drawn([], [long, short])).words()
    assert words.count("10 m") == 2, "the dimension, and the scale bar"
    assert "0.5 m" not in words


def test_a_distance_along_an_edge_lies_beside_it() -> None:
    """What is paced along a line of the ground is drawn outside of that line, not on it."""
    along = PlanDimension((0.0, 0.0), (0.0, 25.0), "25 m", outwards=(-1.0, 0.0))
    drawing = read_drawing(drawn([], [along]))
    (line,) = [p for p in drawing.paths if p.attributes.get("stroke-dasharray") == "4 3"]
    (border,) = [p for p in drawing.paths if p.stroke_width == 3.2]
    assert line.runs[0][0][0] == pytest.approx(border.bounds[0] - 7, abs=0.2)


def test_every_cone_of_a_crowd_has_its_number() -> None:
    """Cones as near to each other as those of small games are: each has its number."""
    crowd = [PlanCone(9 + 3 * n, 15 + 3 * m, str(10 * n + m)) for n in range(4) for m in range(4)]
    text = drawn(crowd)
    assert faults_of(text) == []
    words = read_drawing(text).words()
    assert all(words.count(cone.number) == 1 for cone in crowd)
