"""Tests of the ground plan: to scale, readable, one's own ground plain, nothing over its edge."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
import shapely
from shapely import Polygon

from clubplanner.geometry.frame import Frame
from clubplanner.geometry.shapes import rectangle
from clubplanner.outputs.drawings.picture import png_from_svg
from clubplanner.outputs.drawings.plan_values import (
    HATCH_ANGLES,
    OWN_FILL,
    SOFT_INK,
    TINTS,
    AreaRole,
    GroundPlan,
    PlanArea,
    PlanPiece,
    look_of,
)
from clubplanner.outputs.drawings.plans.ground_plan import draw_ground_plan
from clubplanner.outputs.drawings.plans.plan_areas import HIRER_DASH, OWN_STROKE, ZONE_STROKE
from clubplanner.resources import font_files
from tests.builders import make_pitch
from tests.outputs.example_drawings import DrawnPath, read_drawing, read_grey
from tests.outputs.plans_drawn import L_HALL, PILLAR, draw, on_drawing, other, own, scale_of

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


def test_obstacles_and_holes_are_drawn() -> None:
    """A pillar is a solid shape in its place; a hole in the ground stays a hole."""
    pitch = make_pitch("Hall", polygon=L_HALL, cuts=(), goals=(), obstacles=(PILLAR,))
    drawing = draw(pitch)
    (pillar,) = drawing.filled(SOFT_INK)
    assert is_same(pillar.polygon, on_drawing(drawing, pitch, PILLAR))
    zoomed = draw(pitch, focus=rectangle(0, 0, 4, 4))  # the pillar is a metre out of view
    assert all(len(path.runs[0]) == 3 for path in zoomed.filled(SOFT_INK))  # pointers alone
    ring = Polygon([(0, 0), (20, 0), (20, 20), (0, 20)], [[(8, 8), (12, 8), (12, 12), (8, 12)]])
    ground = draw(make_pitch(polygon=ring, cuts=(), goals=())).paths[0]
    assert len(ground.runs) == 2
    assert ground.attributes["fill-rule"] == "evenodd"


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
    (border,) = [p for p in drawing.paths if p.stroke_width == OWN_STROKE]
    units = (border.bounds[2] - border.bounds[0]) / (100 / 3)
    assert math.dist(*goal.runs[0]) / units == pytest.approx(4, abs=0.05)
    (zone,) = [p for p in drawing.paths if p.attributes.get("stroke-dasharray") == "3 2"]
    lines = [p for p in drawing.paths if p.stroke_width == ZONE_STROKE and p is not zone]
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
    """Drawing twice gives the same text; another number, name or place another one."""
    pitch = make_pitch(frame=Frame(-1.2, 52.9, 33))
    plans = [
        GroundPlan(pitch, "t", "s", (other(pitch.area("half-1").polygon, tint=n),))
        for n in (0, 0, 1, 64)
    ]
    first, again, tinted, same_tint = map(draw_ground_plan, plans)
    assert first == again == same_tint
    assert first != tinted


def test_squads_look_different() -> None:
    """Numbers that follow each other differ in colour and hatch, the first 64 in one of them."""
    looks = [look_of(number) for number in range(64)]
    assert len(set(looks)) == 64
    for one, other_look in pairwise(looks):
        assert one[0] != other_look[0]
        assert one[1] != other_look[1]
    assert {look.fill for look in looks} == set(TINTS)
    assert {look.hatch_deg for look in looks} == set(HATCH_ANGLES)


def test_a_hirers_hatch_is_dashed() -> None:
    """The hatch of a hirer's ground is dashed, a squad's and closed ground's is not."""
    pitch = make_pitch()
    half = pitch.area("half-1").polygon
    dashes = []
    for tint, role in ((-1, AreaRole.OTHER), (0, AreaRole.OTHER), (-1, AreaRole.CLOSED)):
        area = PlanArea(half, "x", (), role, tint)
        drawn = draw_ground_plan(GroundPlan(pitch, "t", "s", (area,)))
        dashes.append(f'stroke-dasharray="{HIRER_DASH}"' in drawn)
    assert dashes == [True, False, False]
