"""Which way round a plan lies, and what a plan that is zoomed to a part shows of the pitch."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import pytest
import shapely

from clubplanner.domain.ground.orientation.facing import Edge
from clubplanner.geometry.frame import Frame
from clubplanner.geometry.shapes import rectangle
from clubplanner.outputs.drawings import svg
from clubplanner.outputs.drawings.plan_values import OWN_FILL, GroundPlan
from clubplanner.outputs.drawings.plans.ground_plan import draw_ground_plan
from clubplanner.outputs.drawings.plans.plan_sheet import AROUND_M, Sheet, view_of
from tests.builders import make_edges, make_pitch
from tests.outputs.clear_drawings import faults_of
from tests.outputs.example_drawings import read_drawing
from tests.outputs.plans_drawn import draw, own

if TYPE_CHECKING:
    from clubplanner.outputs.drawings.lettering import Lettering

EDGES = make_edges()
NAMES = {edge.value: getattr(EDGES, edge.value) for edge in Edge}
CLOCKWISE = {
    Edge.RIGHT: ("right", "start", "left", "far"),
    Edge.START: ("start", "left", "far", "right"),
    Edge.LEFT: ("left", "far", "right", "start"),
    Edge.FAR: ("far", "right", "start", "left"),
}
"""Edge at the bottom → what someone standing there, looking in, has before the feet, on the left
hand, opposite and on the right hand: walked round a pitch whose x runs from start to far."""


@pytest.mark.parametrize("at_bottom", list(Edge))
def test_each_name_stands_at_its_edge_whichever_way_the_plan_lies(at_bottom: Edge) -> None:
    """Turned, the asked-for edge is at the bottom and the others follow clockwise."""
    drawing = draw(make_pitch(edge_names=NAMES), at_bottom=at_bottom)
    x0, y0, x1, y1 = drawing.paths[0].bounds
    bottom, left, top, right = (drawing.text(NAMES[edge]) for edge in CLOCKWISE[at_bottom])
    assert bottom.box[1] > y1
    assert left.box[2] < x0
    assert top.box[3] < y0
    assert right.box[0] > x1


@pytest.mark.parametrize("at_bottom", list(Edge))
def test_ground_lies_by_the_edge_it_is_nearest_to(at_bottom: Edge) -> None:
    """A corner's ground is drawn at its own end and side, at scale, whichever way it is turned."""
    corner = rectangle(80, 0, 20, 10)  # by the far end and the right side
    drawing = draw(make_pitch(edge_names=NAMES), own(corner), at_bottom=at_bottom)
    x0, y0, x1, y1 = drawing.paths[0].bounds
    (filled,) = drawing.filled(OWN_FILL)
    drawn = filled.bounds
    gaps = {"left": drawn[0] - x0, "top": drawn[1] - y0, "right": x1 - drawn[2]}
    gaps["bottom"] = y1 - drawn[3]
    places = dict(zip(CLOCKWISE[at_bottom], ("bottom", "left", "top", "right"), strict=True))
    touched = {name for name, gap in gaps.items() if gap == pytest.approx(0, abs=0.2)}
    assert touched == {places["far"], places["right"]}
    scale = max(x1 - x0, y1 - y0) / 100
    assert sorted((drawn[2] - drawn[0], drawn[3] - drawn[1])) == pytest.approx(
        [10 * scale, 20 * scale], abs=0.3
    )


@pytest.mark.parametrize("at_bottom", list(Edge))
@pytest.mark.parametrize("bearing", [0, 37.5, 200])
def test_the_needle_points_north_on_a_turned_plan(at_bottom: Edge, bearing: float) -> None:
    """A step northward on the ground goes where the needle's letter stands from its middle."""
    frame = Frame(-1.2, 52.9, bearing)
    x, y = frame.local_from_lonlat(-1.2, 52.901)
    sheet = Sheet(0, 0, 1.0, 0, 0, 360, at_bottom)
    here, there = sheet.place(0, 0), sheet.place(x, y)
    north = math.atan2(there[1] - here[1], there[0] - here[0])
    text = draw_ground_plan(GroundPlan(make_pitch(frame=frame), "t", "s", at_bottom=at_bottom))
    letter = read_drawing(text).text("N")
    middle = tuple(map(float, text.partition("translate(")[2].partition(")")[0].split()))
    assert math.cos(math.atan2(letter.y - middle[1], letter.x - middle[0]) - north) > 0.995


@pytest.mark.parametrize("at_bottom", list(Edge))
def test_points_and_shapes_land_on_the_same_place(at_bottom: Edge) -> None:
    """Placing a shape is placing each of its corners."""
    sheet = Sheet(29, 300, 3.1, -5, 7, 360, at_bottom)
    shape = shapely.Polygon([(1, 2), (30, 2), (30, 17), (1, 40)])
    corners = [sheet.place(x, y) for x, y in shape.exterior.coords]
    assert sheet.placed(shape).equals_exact(shapely.Polygon(corners), 1e-9)


def test_a_part_is_shown_with_what_lies_round_it() -> None:
    """The view reaches a few metres past the part, and to the pitch's edge where that is near."""
    pitch = make_pitch()  # 100 × 60 m
    middle = pitch.area("third-2").polygon
    assert view_of(pitch.polygon, middle).bounds == pytest.approx(
        (100 / 3 - AROUND_M, 0, 200 / 3 + AROUND_M, 60), abs=0.001
    )
    assert view_of(pitch.polygon, rectangle(10, 8, 20, 20)).bounds == pytest.approx(
        (0, 8 - AROUND_M, 30 + AROUND_M, 28 + AROUND_M)
    )
    assert view_of(pitch.polygon, None).bounds == pitch.polygon.bounds


@pytest.mark.parametrize("at_bottom", list(Edge))
def test_edges_out_of_view_are_named_with_their_distance(at_bottom: Edge) -> None:
    """A zoomed plan says how far it is from its ground to each end or side it does not show."""
    pitch = make_pitch(edge_names=NAMES)
    ground = rectangle(40, 2, 20, 30)
    drawing = draw(pitch, own(ground), focus=ground, at_bottom=at_bottom)
    # 40 m to the start, 100 − 60 to the far end; the right side is in view, 60 − 32 to the left
    assert {f"{NAMES['start']} · 40 m", f"{NAMES['far']} · 40 m", NAMES["right"]} <= set(
        drawing.words()
    )
    assert f"{NAMES['left']} · 28 m" in drawing.words()


def test_what_lies_round_the_part_has_no_line_where_the_view_ends() -> None:
    """Only the pitch's own edge is drawn as an edge: where the view ends the ground goes on."""
    pitch = make_pitch()
    drawing = draw(pitch, focus=pitch.area("third-2").polygon)
    left, _, right, _ = drawing.paths[0].bounds
    edges = [path for path in drawing.paths if path.stroke_width == 1.4]
    runs = [run for path in edges for run in path.runs]
    assert len(runs) == 2
    for run in runs:
        xs, ys = [x for x, _ in run], [y for _, y in run]
        assert (min(xs), max(xs)) == pytest.approx((left, right), abs=0.2)
        assert max(ys) == pytest.approx(min(ys), abs=0.2)


def test_a_small_plan_shows_where_the_part_lies() -> None:
    """A zoomed plan carries the whole pitch small with the part on it, a whole one does not."""
    pitch = make_pitch()
    third = pitch.area("third-3").polygon
    large, small = draw(pitch, own(third), focus=third).filled(OWN_FILL)
    left, _, right, _ = small.bounds
    (whole,) = [
        path
        for path in draw(pitch, own(third), focus=third).filled("#ffffff")
        if path.bounds[2] == pytest.approx(right, abs=0.1)
    ]
    assert (left - whole.bounds[0]) / (right - whole.bounds[0]) == pytest.approx(2 / 3, abs=0.02)
    assert large.bounds[2] - large.bounds[0] > 3 * (right - left)
    assert len(draw(pitch, own(third)).filled(OWN_FILL)) == 1


def test_more_can_be_drawn_on_top_in_metres_of_the_pitch() -> None:
    """What is laid on a plan lands where the sheet says, and the plan's words keep off it."""
    pitch = make_pitch()
    third = pitch.area("third-1").polygon
    cross = shapely.MultiLineString([[(5, 5), (25, 55)], [(25, 5), (5, 55)]])

    def lay(sheet: Sheet, lettering: Lettering) -> list[str]:
        lettering.block(sheet.placed(cross), 1.0)
        data = svg.path_of(cross, sheet.place)
        return [svg.element("path", d=data, fill="none", stroke="#000000", stroke_width=1.0)]

    plan = GroundPlan(pitch, "t", "s", (own(third),), focus=third, at_bottom=Edge.START)
    text = draw_ground_plan(plan, overlay=lay)
    assert faults_of(text) == []
    drawing = read_drawing(text)
    (laid,) = [path for path in drawing.paths if path.attributes.get("stroke") == "#000000"]
    assert len(laid.runs) == 2
    assert "U12 Kestrels" in " ".join(drawing.words())


def test_painted_lines_are_broken_where_words_stand_and_games_lie() -> None:
    """Markings are faint, stay on the pitch in view, and pass under no word."""
    pitch = make_pitch()
    rings = tuple(shapely.Point(50, 30).buffer(r).exterior for r in (3, 6, 9.15, 12, 40))
    plan = GroundPlan(pitch, "t", "s", (own(pitch.polygon),), markings=rings)
    text = draw_ground_plan(plan)
    assert faults_of(text) == []
    (lines,) = [p for p in read_drawing(text).paths if p.attributes.get("stroke-opacity") == "0.5"]
    ground = shapely.buffer(read_drawing(text).paths[0].polygon, 0.2)
    assert all(ground.covers(shapely.LineString(run)) for run in lines.runs)
    reach = max(math.dist(point, (180, 118.6)) for run in lines.runs for point in run)
    assert reach > 12 * 302 / 100
