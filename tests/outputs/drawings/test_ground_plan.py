"""Tests of the ground plan: to scale, readable, one's own ground plain, nothing over its edge."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon

from clubplanner.domain.ground.grounds import Goal, GoalKind, Pitch
from clubplanner.domain.ground.measures import size_in_words, tenth
from clubplanner.geometry.frame import Frame
from clubplanner.geometry.shapes import rectangle
from clubplanner.outputs.drawings.ground_plan import draw_ground_plan
from clubplanner.outputs.drawings.picture import png_from_svg
from clubplanner.outputs.drawings.plan_values import (
    HATCH_ANGLES,
    OWN_FILL,
    SOFT_INK,
    TINTS,
    AreaRole,
    GroundPlan,
    PlanArea,
    PlanMark,
    PlanPiece,
)
from clubplanner.resources import font_files
from tests.builders import make_edges, make_pitch
from tests.outputs.example_drawings import Drawing, DrawnPath, Text, read_drawing, read_grey

L_HALL = Polygon([(0, 0), (24, 0), (24, 10), (14, 10), (14, 18), (0, 18)])
PILLAR = rectangle(9.8, 8.8, 0.4, 0.4)
HOSTILE = (
    "<script>alert(1)</script> & co",
    "]]> \x00\x01\x1b[31m \ufffe",
    "👨‍👩‍👧‍👦 Kestrels 🏴󠁧󠁢󠁳󠁣󠁴󠁿",
    "נערים \u202egedirb\u202c فريق الصقور",
    "W" * 10_000,
    "word " * 2_000,
    "東京" * 500,
    "",
    "   ",
)


def own(polygon: Polygon, heading: str = "U12 Kestrels") -> PlanArea:
    """Return a squad's own ground."""
    return PlanArea(polygon, heading, ("18:00–19:15",), AreaRole.OWN)


def other(polygon: Polygon, heading: str = "U14 Harriers", **changes: Any) -> PlanArea:
    """Return somebody else's ground."""
    values = {"details": ("18:00–19:15",), "role": AreaRole.OTHER, **changes}
    return PlanArea(polygon, heading, **values)


def draw(pitch: Pitch | None = None, *areas: PlanArea, **changes: Any) -> Drawing:
    """Draw a plan and read it back; `width` and `tallest` go to the drawing."""
    sizes = {name: changes.pop(name) for name in ("width", "tallest") if name in changes}
    plan = GroundPlan(pitch or make_pitch(), "Top pitch", "In words", areas, **changes)
    return read_drawing(draw_ground_plan(plan, **sizes))


def scale_of(drawing: Drawing, pitch: Pitch) -> float:
    """Return units a metre, from the first path: the ground."""
    x0, _, x1, _ = drawing.paths[0].bounds
    return (x1 - x0) / float(pitch.polygon.bounds[2] - pitch.polygon.bounds[0])


def on_drawing(drawing: Drawing, pitch: Pitch, polygon: Polygon) -> Polygon:
    """Put a polygon where it must be on the drawing: same scale both ways, y upwards."""
    scale = scale_of(drawing, pitch)
    left, _, _, bottom = drawing.paths[0].bounds
    x0, y0, _, _ = pitch.polygon.bounds
    return shapely.affinity.affine_transform(
        polygon, [scale, 0, 0, -scale, left - x0 * scale, bottom + y0 * scale]
    )


def is_same(a: Polygon, b: Polygon) -> bool:
    """Tell whether two outlines agree to the rounding of the drawing."""
    return bool(shapely.hausdorff_distance(a.exterior, b.exterior) < 0.2)


@pytest.mark.parametrize(
    ("length_m", "width_m"), [(100.0, 64.0), (40.0, 20.0), (30.0, 90.0), (120.0, 12.0)]
)
def test_every_area_is_drawn_to_scale(length_m: float, width_m: float) -> None:
    """Each area lies where its metres put it, at one scale along and across."""
    pitch = make_pitch(length_m=length_m, width_m=width_m)
    third, corner = pitch.area("third-3"), pitch.area("corner-1")
    drawing = draw(pitch, other(corner.polygon), own(third.polygon))
    assert is_same(drawing.paths[0].polygon, on_drawing(drawing, pitch, pitch.polygon))
    assert is_same(drawing.filled(OWN_FILL)[0].polygon, on_drawing(drawing, pitch, third.polygon))
    assert is_same(drawing.filled(TINTS[0])[0].polygon, on_drawing(drawing, pitch, corner.polygon))


@pytest.mark.parametrize("size", [(100.0, 64.0), (12.0, 80.0), (5.0, 5.0)])
def test_the_drawing_keeps_within_its_width_and_height(size: tuple[float, float]) -> None:
    """The ground takes the whole width or the whole height allowed, never more."""
    pitch = make_pitch(length_m=size[0], width_m=size[1])
    drawing = draw(pitch, width=360.0, tallest=300.0)
    x0, y0, x1, y1 = drawing.paths[0].bounds
    assert drawing.width == 360
    assert x1 - x0 == pytest.approx(302, abs=0.2) or y1 - y0 == pytest.approx(300, abs=0.2)
    assert x1 - x0 <= 302.2
    assert y1 - y0 <= 300.2
    assert (x0 + x1) / 2 == pytest.approx(180, abs=0.2)


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


def test_the_size_of_the_own_ground_is_in_metres_and_yards() -> None:
    """Own ground carries both its extents, each along an arrow as long as it says."""
    pitch = make_pitch(length_m=100, width_m=64)
    third = pitch.area("third-1")
    drawing = draw(pitch, own(third.polygon), shows_size=True)
    # 1 yd = 0.9144 m (international yard and pound agreement, 1959): 33.3 m are 36.4 yd, 64 m 70.0
    length, width = drawing.text("33.3 m · 36 yd"), drawing.text("64 m · 70 yd")
    assert length.turn_deg == 0
    assert width.turn_deg == -90
    arrows = [path for path in drawing.paths if len(path.runs) == 3][:2]
    spans = [math.dist(*arrow.runs[0]) / scale_of(drawing, pitch) for arrow in arrows]
    assert spans == pytest.approx([33.33, 64], abs=2.1)  # the upright one keeps off the border
    assert arrows[0].bounds[1] > drawing.paths[0].bounds[3]  # below the ground
    assert "33.3 m · 36 yd" not in draw(pitch, own(third.polygon)).words()


def test_sizes_in_words() -> None:
    """Sizes are in metres to a tenth and yards to a whole."""
    assert size_in_words(100 / 3, 64) == "33.3 × 64 m (36 × 70 yd)"
    assert tenth(9.15) == "9.2"
    assert tenth(20.0) == "20"


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
    assert draw(make_pitch(edge_names=names), focus=rectangle(0, 0, 10, 10)).words() == ["2 m"]


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


def test_only_goals_of_the_ground_zoomed_to_are_drawn() -> None:
    """A zoomed drawing shows the goal on its own ground alone, and no entrance."""
    pitch = make_pitch(entrance=(0.0, 5.0))
    drawing = draw(pitch, focus=pitch.area("third-1").polygon)
    assert len(goal_paths(drawing)) == 1
    assert "in" not in drawing.words()
    assert "in" in draw(pitch).words()


def test_an_entrance_outside_is_drawn_on_the_edge() -> None:
    """People come in at the nearest place of the pitch's edge."""
    pitch = make_pitch(entrance=(-40.0, 500.0))
    drawing = draw(pitch)
    x0, y0, _, _ = drawing.paths[0].bounds
    mark = drawing.text("in")
    assert (mark.x, mark.y) == pytest.approx((x0, y0), abs=1)


@pytest.mark.parametrize("angle_number", range(len(HATCH_ANGLES)))
def test_hatch_lines_of_held_ground_stay_on_it(angle_number: int) -> None:
    """The lines of a hatch lie on the held ground, for each direction and for L-shapes."""
    pitch = make_pitch("Hall", polygon=L_HALL, cuts=(), goals=(), obstacles=(PILLAR,))
    drawing = draw(pitch, other(L_HALL, tint=angle_number))
    ground = shapely.buffer(on_drawing(drawing, pitch, L_HALL), 0.2)
    hatches = [p for p in drawing.paths if p.attributes.get("stroke-opacity") == "0.6"]
    hatches += [p for p in drawing.paths if p.attributes.get("stroke-opacity") == "0.5"]
    assert len(hatches) == 1
    assert len(hatches[0].runs) > 5
    assert all(ground.covers(shapely.LineString(run)) for run in hatches[0].runs)


def test_closed_ground_is_hatched_both_ways() -> None:
    """Closed ground has crossed hatches, held ground simple ones, own ground none."""
    pitch = make_pitch()
    halves = [pitch.area(f"half-{n}").polygon for n in (1, 2)]
    drawing = draw(pitch, other(halves[0], role=AreaRole.CLOSED), own(halves[1]))
    hatches = [p for p in drawing.paths if "stroke-opacity" in p.attributes]
    assert len(hatches) == 2
    right = shapely.buffer(on_drawing(drawing, pitch, halves[1]), -0.5)
    lines = [shapely.LineString(run) for path in hatches for run in path.runs]
    assert not any(right.intersects(line) for line in lines)


def test_own_ground_alone_has_a_heavy_border() -> None:
    """The own ground's border is at least twice as heavy as any other line of an area."""
    pitch = make_pitch()
    thirds = [pitch.area(f"third-{n}").polygon for n in (1, 2, 3)]
    drawing = draw(pitch, other(thirds[0]), other(thirds[2], tint=1), own(thirds[1]))
    (mine,) = drawing.filled(OWN_FILL)
    rest = [p.stroke_width for p in drawing.paths if p is not mine and not goal_paths_like(p)]
    assert mine.stroke_width >= 2 * max(rest)


def goal_paths_like(path: DrawnPath) -> bool:
    """Tell whether a path is a goal's box."""
    return path.stroke_width == 2.4


@pytest.mark.parametrize("mine", [1, 2, 3])
def test_own_ground_is_unmistakable_in_grey(mine: int) -> None:
    """In a grey picture the own ground alone is flat inside and has the widest dark border."""
    pitch = make_pitch(goals=())
    areas = [
        PlanArea(pitch.area(f"third-{n}").polygon, "", (), role, tint=n)
        for n, role in ((n, AreaRole.OWN if n == mine else AreaRole.OTHER) for n in (1, 2, 3))
    ]
    areas.sort(key=lambda area: area.role is AreaRole.OWN)
    svg = draw_ground_plan(GroundPlan(pitch, "t", "s", tuple(areas)))
    grey = read_grey(png_from_svg(svg, 1080, font_files()))
    drawing = read_drawing(svg)
    flat, borders = {}, {}
    for n in (1, 2, 3):
        x0, y0, x1, y1 = (
            int(3 * v) for v in on_drawing(drawing, pitch, pitch.area(f"third-{n}").polygon).bounds
        )
        inside = grey[y0 + 12 : y1 - 12, x0 + 12 : x1 - 12]
        flat[n] = float(inside.std())
        column = grey[y0 - 15 : y0 + 16, (x0 + x1) // 2]
        borders[n] = int((column < 90).sum())
    assert flat[mine] < 1
    assert all(flat[n] > 5 for n in flat if n != mine)
    assert all(borders[mine] >= 1.8 * borders[n] for n in borders if n != mine)


@pytest.mark.parametrize("name", HOSTILE)
@pytest.mark.parametrize("role", list(AreaRole))
def test_hostile_names_stay_within_the_drawing(name: str, role: AreaRole) -> None:
    """Names with markup, controls, emoji, right-to-left or no end leave a small, whole drawing."""
    edges = dict.fromkeys(("start", "far", "left", "right"), name)
    pitch = make_pitch(edge_names=edges)
    area = PlanArea(pitch.area("half-1").polygon, name, (name,), role, mark="3")
    plan = GroundPlan(pitch, name, name, (area,), shows_size=True)
    svg = draw_ground_plan(plan)
    drawing = read_drawing(svg)
    assert drawing.overflowing() == []
    assert len(svg) < 40_000 + 2 * 5 * len(name)
    tags = {node.tag.rpartition("}")[2] for node in drawing.root.iter()}
    assert tags <= {"svg", "title", "desc", "path", "text", "g", "rect", "circle"}


def placed_text(drawing: Drawing, words: str) -> Text | None:
    """Return the text with these words, None where it did not fit."""
    return next((text for text in drawing.texts if text.words == words), None)


@settings(max_examples=60)
@given(
    st.floats(5, 130),
    st.floats(5, 130),
    st.tuples(st.floats(0, 0.97), st.floats(0, 0.97), st.floats(0.02, 1), st.floats(0.02, 1)),
    st.sampled_from(["U12 Kestrels", "TARNHOLT WANDERERS UNDER THIRTEENS", "WWW", "Ω" * 40]),
    st.sampled_from(list(AreaRole)),
    st.sampled_from(["", "7", "128"]),
    st.sampled_from([200.0, 360.0, 720.0]),
)
def test_labels_never_overflow(
    length_m: float,
    width_m: float,
    part: tuple[float, float, float, float],
    name: str,
    role: AreaRole,
    mark: str,
    width: float,
) -> None:
    """Whatever the shape of pitch and area, no label reaches over the drawing's edge."""
    edges = dict.fromkeys(("start", "far", "left", "right"), name)
    pitch = make_pitch(length_m=length_m, width_m=width_m, cuts=(), goals=(), edge_names=edges)
    x, y = part[0] * length_m, part[1] * width_m
    area = rectangle(x, y, max(0.3, (length_m - x) * part[2]), max(0.3, (width_m - y) * part[3]))
    held = PlanArea(area, name, ("18:00–19:15",), role, mark=mark)
    drawing = draw(pitch, held, shows_size=True, width=width)
    assert drawing.overflowing() == []


@settings(max_examples=30)
@given(st.floats(0, 96), st.floats(1, 60), st.floats(1, 40), st.sampled_from([100.0, 33.0]))
def test_labels_of_pieces_never_overflow(x: float, length: float, width: float, on: float) -> None:
    """The sides and size of a game stay on the drawing however small its ground is."""
    pitch = make_pitch(length_m=on, width_m=60)
    piece = rectangle(min(x, on - 1), 5, min(length, on - min(x, on - 1)), width)
    middle = (piece.centroid.x, piece.centroid.y)
    marks = (PlanMark(piece.bounds[0], piece.bounds[1], "12", middle),)
    game = PlanPiece(piece, "10 v 10 + 2 GK", length, width, marks=marks)
    drawing = draw(pitch, own(pitch.polygon), pieces=(game,), focus=pitch.polygon)
    assert drawing.overflowing() == []
    assert "10 v 10 + 2 GK" in " ".join(drawing.words()), "in one line or two"


def test_what_has_no_room_on_a_game_is_told_in_the_key() -> None:
    """A game too small for its words keeps its number, and the key says what it is."""
    pitch = make_pitch(length_m=33, width_m=60)
    for side, is_in_key in ((30.0, False), (4.0, True)):
        game = PlanPiece(rectangle(1, 5, side, side), "3 v 3", side, side, number="7")
        drawing = draw(pitch, own(pitch.polygon), pieces=(game,), focus=pitch.polygon)
        assert drawing.words().count("7") == 1 + is_in_key
        assert (f"3 v 3, {side:.0f} × {side:.0f} m" in drawing.words()) is is_in_key


def test_labels_of_an_l_shaped_hall_stay_on_its_ground() -> None:
    """The label of an L-shaped hall stands on the hall, not in its missing corner."""
    pitch = make_pitch("Hall", polygon=L_HALL, cuts=(), goals=(), obstacles=(PILLAR,))
    drawing = draw(pitch, other(L_HALL, "Boxing and Judo"))
    ground = on_drawing(drawing, pitch, L_HALL)
    found = [t for t in drawing.texts if t.words and t.words in "Boxing and Judo"]
    assert found
    for text in found:
        assert ground.covers(shapely.box(*text.box))
    u_shape = Polygon([(0, 0), (30, 0), (30, 20), (24, 20), (24, 4), (6, 4), (6, 20), (0, 20)])
    pitch = make_pitch("Court", polygon=u_shape, cuts=(), goals=())
    drawing = draw(pitch, other(u_shape, "Boxing and Judo"))
    ground = on_drawing(drawing, pitch, u_shape)
    assert all(ground.covers(shapely.box(*t.box)) for t in drawing.texts if t.words in "Judo")


def test_obstacles_and_holes_are_drawn() -> None:
    """A pillar is a solid shape in its place; a hole in the ground stays a hole."""
    pitch = make_pitch("Hall", polygon=L_HALL, cuts=(), goals=(), obstacles=(PILLAR,))
    drawing = draw(pitch)
    (pillar,) = drawing.filled(SOFT_INK)
    assert is_same(pillar.polygon, on_drawing(drawing, pitch, PILLAR))
    assert len(draw(pitch, focus=rectangle(0, 0, 5, 5)).filled(SOFT_INK)[0].runs) == 0
    ring = Polygon([(0, 0), (20, 0), (20, 20), (0, 20)], [[(8, 8), (12, 8), (12, 12), (8, 12)]])
    ground = draw(make_pitch(polygon=ring, cuts=(), goals=())).paths[0]
    assert len(ground.runs) == 2
    assert ground.attributes["fill-rule"] == "evenodd"


@pytest.mark.parametrize("size", [0.05, 0.5, 2.0])
def test_tiny_areas_are_drawn_without_a_label(size: float) -> None:
    """Ground too small for words is drawn all the same; its mark says who it is."""
    tiny = rectangle(50, 30, size, size)
    drawing = draw(make_pitch(), other(tiny, "U14 Harriers", mark="2"))
    assert len(drawing.filled(TINTS[0])) == 1
    assert "U14 Harriers" not in drawing.words()
    assert "2" in drawing.words()


def test_headings_shrink_and_wrap_before_they_go() -> None:
    """A heading too wide for one line takes two, times go before the name does."""
    pitch = make_pitch()
    quarter = pitch.area("quarter-1").polygon
    words = draw(pitch, other(quarter, "Harriers Reserves")).words()
    assert words[:4] == ["Harriers", "Reserves", "18:00–", "19:15"]
    low = rectangle(0, 0, 60, 9)
    words = draw(pitch, other(low, "Harriers")).words()
    assert "Harriers" in words
    assert "18:00–19:15" not in words


def test_pieces_with_goals_and_end_zones() -> None:
    """A game carries its sides and size; goals are heavy lines, end zones hatched strips."""
    pitch = make_pitch()
    ground = rectangle(2, 2, 30, 20)
    game = PlanPiece(
        ground,
        "4 v 3 + 1 GK",
        30,
        20,
        goals=(shapely.LineString([(2, 10), (2, 14)]),),
        end_zones=(rectangle(29, 2, 3, 20),),
    )
    third = pitch.area("third-1").polygon
    drawing = draw(pitch, own(third), pieces=(game,), focus=third)
    assert drawing.words()[:2] == ["4 v 3 + 1 GK", "30 × 20 m"]
    assert "U12 Kestrels" not in drawing.words()
    (goal,) = [p for p in drawing.paths if p.stroke_width == 5]
    scale = drawing.paths[0].bounds
    units = (scale[2] - scale[0]) / (100 / 3)
    assert math.dist(*goal.runs[0]) / units == pytest.approx(4, abs=0.05)
    (zone,) = [p for p in drawing.paths if p.attributes.get("stroke-dasharray") == "3 2"]
    lines = [p for p in drawing.paths if p.stroke_width == 0.8 and p is not zone]
    strip = shapely.buffer(zone.polygon, 0.2)
    assert all(strip.covers(shapely.LineString(run)) for run in lines[0].runs)


def test_cut_lines_are_fine_and_clipped_to_the_zoom() -> None:
    """The lines of the cuts are dotted and stay on the ground that is shown."""
    pitch = make_pitch()
    cuts = tuple(pitch.area(f"third-{n}").polygon for n in (1, 2, 3))
    drawing = draw(pitch, cut_lines=cuts, focus=pitch.area("half-1").polygon)
    ground = shapely.buffer(drawing.paths[0].polygon, 0.2)
    (fine,) = [p for p in drawing.paths if p.attributes.get("stroke-dasharray") == "2 4"]
    assert len(fine.runs) == 1, "one line, drawn once, and none along the edge"
    assert ground.covers(shapely.LineString(fine.runs[0]))
    covered = draw(pitch, own(pitch.polygon), cut_lines=cuts)
    assert not [p for p in covered.paths if p.attributes.get("stroke-dasharray") == "2 4"]


def test_the_same_plan_gives_the_same_bytes() -> None:
    """Drawing twice gives the same text; another tint, name or place another one."""
    pitch = make_pitch(frame=Frame(-1.2, 52.9, 33))
    plans = [
        GroundPlan(pitch, "t", "s", (other(pitch.area("half-1").polygon, tint=n),))
        for n in (0, 0, 1, 8)
    ]
    first, again, tinted, same_tint = map(draw_ground_plan, plans)
    assert first == again == same_tint
    assert first != tinted


def test_neighbouring_tints_differ() -> None:
    """Tints that follow each other have another colour and another direction of hatch."""
    for a, b in pairwise((*zip(TINTS, HATCH_ANGLES, strict=True),)):
        assert a[0] != b[0]
        assert a[1] != b[1]
