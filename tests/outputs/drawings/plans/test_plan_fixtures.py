"""What stands round the areas of a plan: scale, edges, needle, goals, entrance."""

from __future__ import annotations

import math

import pytest

from clubplanner.domain.ground.grounds import Goal, GoalKind
from clubplanner.geometry.frame import Frame
from clubplanner.outputs.drawings.plan_values import (
    GroundPlan,
)
from clubplanner.outputs.drawings.plans.ground_plan import draw_ground_plan
from tests.builders import make_edges, make_pitch
from tests.outputs.example_drawings import Drawing, DrawnPath, read_drawing
from tests.outputs.plans_drawn import draw, on_drawing, scale_of


@pytest.mark.parametrize("length_m", [8.0, 24.0, 60.0, 105.0])
def test_the_scale_bar_is_as_long_as_it_says(length_m: float) -> None:
    """The bar at the foot has the length in its label, at the drawing's scale."""
    pitch = make_pitch(length_m=length_m, width_m=length_m * 0.6)
    drawing = draw(pitch)
    bar = drawing.paths[-1].runs[0]
    (label,) = [text for text in drawing.texts if text.y == pytest.approx(bar[0][1], abs=0.2)]
    metres = (bar[1][0] - bar[0][0]) / scale_of(drawing, pitch)
    assert label.words == f"{metres:.0f} m"
    assert metres == pytest.approx(round(metres), rel=0.01)


def test_each_end_and_side_stands_where_it_is() -> None:
    """The start is left, the far end right, the left-hand side on top, the right-hand below."""
    edges = make_edges()
    names = {"start": edges.start, "far": edges.far, "left": edges.left, "right": edges.right}
    drawing = draw(make_pitch(edge_names=names))
    x0, y0, x1, y1 = drawing.paths[0].bounds
    start, far = drawing.text("Clubhouse end"), drawing.text("Road end")
    left, right = drawing.text("Car park side"), drawing.text("Hedge side")
    assert start.box[2] < x0
    assert far.box[0] > x1
    assert left.box[3] < y0
    assert right.box[1] > y1
    assert (start.turn_deg, far.turn_deg, left.turn_deg) == (-90, 90, 0)


@pytest.mark.parametrize("bearing", [0, 30, 45, 90, 123.4, 135, 180, 225, 270, 315, 359])
def test_the_needle_points_north(bearing: float) -> None:
    """The needle and its letter point where a step northward goes on the drawing."""
    frame = Frame(-1.2, 52.9, bearing)
    x, y = frame.local_from_lonlat(-1.2, 52.901)
    north = math.atan2(-y, x)  # the drawing's y runs down
    svg = draw_ground_plan(GroundPlan(make_pitch(frame=frame), "t", "s"))
    letter = read_drawing(svg).text("N")
    group = svg[
        svg.index("<g transform=") if "<g transform=" in svg else svg.rindex("translate(") :
    ]
    middle_x, middle_y = map(float, group.partition("translate(")[2].partition(")")[0].split())
    letters_way = math.atan2(letter.y - middle_y, letter.x - middle_x)
    assert math.cos(letters_way - north) > 0.995
    needle = svg.partition('d="M0 -13L5 9L0 5L-5 9Z"')[2]
    turn = math.radians(float(needle.partition("rotate(")[2].partition(")")[0]))
    assert math.cos(turn - math.pi / 2 - north) > 0.999  # unturned it points up


def test_without_a_bearing_there_is_no_needle() -> None:
    """A pitch that was given by its size alone shows no north."""
    assert "N" not in draw().words()


def goal_paths(drawing: Drawing) -> list[DrawnPath]:
    """Return the boxes of goals."""
    return [p for p in drawing.paths if p.stroke_width == 2.4 and len(p.runs[0]) == 4]


def test_goals_stand_in_their_places_behind_their_lines() -> None:
    """Each goal is drawn at its mouth's width, behind the line; one to carry is dashed."""
    goals = (
        Goal(0, 30, 90, 7.32, 2.44, GoalKind.FIXED),
        Goal(100, 30, 90, 7.32, 2.44, GoalKind.FIXED),
        Goal(50, 60, 0, 3.66, 1.83, GoalKind.PORTABLE),
    )
    pitch = make_pitch(goals=(), standing_goals=goals)
    drawing = draw(pitch)
    drawn = goal_paths(drawing)
    x0, y0, x1, _ = drawing.paths[0].bounds
    scale = scale_of(drawing, pitch)
    assert [path.attributes.get("stroke-dasharray") for path in drawn] == [None, None, "3 2"]
    left, right, top = (path.bounds for path in drawn)
    assert (left[3] - left[1]) / scale == pytest.approx(7.32, abs=0.1)
    assert (top[2] - top[0]) / scale == pytest.approx(3.66, abs=0.1)
    assert left[2] == pytest.approx(x0, abs=0.1)
    assert left[0] < x0
    assert right[0] == pytest.approx(x1, abs=0.1)
    assert top[1] < y0
    middle = (left[1] + left[3]) / 2
    assert middle == pytest.approx(on_drawing(drawing, pitch, pitch.polygon).centroid.y, abs=0.2)


def test_only_goals_and_the_entrance_in_view_are_drawn() -> None:
    """A zoomed drawing shows the goal and the way in that lie on what it shows, no others."""
    pitch = make_pitch(entrance=(0.0, 5.0))
    first = draw(pitch, focus=pitch.area("third-1").polygon)
    last = draw(pitch, focus=pitch.area("third-3").polygon)
    assert (len(goal_paths(first)), len(goal_paths(last))) == (1, 1)
    assert ("in" in first.words(), "in" in last.words()) == (True, False)
    assert len(goal_paths(draw(pitch))) == 2


def test_an_entrance_outside_is_drawn_on_the_edge() -> None:
    """People come in at the nearest place of the pitch's edge."""
    pitch = make_pitch(entrance=(-40.0, 500.0))
    drawing = draw(pitch)
    x0, y0, _, _ = drawing.paths[0].bounds
    mark = drawing.text("in")
    assert (mark.x, mark.y) == pytest.approx((x0, y0), abs=1)
