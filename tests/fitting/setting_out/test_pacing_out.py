"""The words of set-out lists, paced out by somebody who has nothing else.

`pacing_out` rebuilds every cone from the distances of its sentence; what it finds is held against
the outlines of the games. Nothing published says how to lay out a training area: that lines and
goals serve as marks is common practice, no source.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from clubplanner.domain.ground.grounds import Edges, GoalKind, goals_on
from clubplanner.domain.ground.orientation.measures import Measure, measuring
from clubplanner.fitting import (
    Anchors,
    GoalSpot,
    Piece,
    SessionNeed,
    Way,
    list_corners,
    list_set_out,
    list_ways,
)
from clubplanner.inputs.ground_files.grounds import read_grounds
from clubplanner.resources import invented_club_files
from tests.fitting.setting_out.pacing_out import Spot, Walker, box_walker, see_lines, turn
from tests.fitting.shapes import DISC, L_SHAPE, SLANTED, TRIANGLE, read_bands

if TYPE_CHECKING:
    from collections.abc import Sequence

    from shapely import Polygon

    from clubplanner.domain.ground.grounds import Pitch
    from clubplanner.fitting import SetOut

EDGES = Edges("Mill end", "Church end", "Road side", "River side")
NAMES = ("Mill end", "Church end", "Road side", "River side")
GOALS = tuple(GoalSpot(x, 32, 7.32, GoalKind.FIXED) for x in (0, 100))
NEAR_M = 0.16
"""Each of two distances is told to a tenth, and so is that of an own line."""


def pitches() -> list[Pitch]:
    """Read the pitches of the invented club."""
    texts = {file.name: file.read_text(encoding="utf-8") for file in invented_club_files()}
    return [
        pitch
        for name, text in texts.items()
        if name.endswith(".geojson")
        for pitch in read_grounds(text, name).pitches
    ]


PITCHES = pitches()


def ways_on(
    part: Polygon, players: int, goals: Sequence[GoalSpot] = (), targets: int = 2
) -> tuple[Way, ...]:
    """Return ways for a squad of under-thirteens with a goal and small target goals to carry."""
    need = SessionNeed(
        part,
        players,
        1,
        13,
        goals=tuple(goals),
        portable_goals=1,
        target_goals=targets,
        bands=read_bands(),
    )
    return list_ways(need)


def check(found: SetOut, walker: Walker, shapes: Sequence[Polygon], near_m: float = NEAR_M) -> None:
    """Pace out a list and hold what was found against what was to be set out."""
    for sentence in found.first:
        if sentence.startswith(("Your line", "The inner edge")):
            walker.mark_line(sentence)
    spots = [walker.find(cone.words) for cone in found.cones]
    for cone, spot in zip(found.cones, spots, strict=True):
        assert math.dist(spot, (cone.x_m, cone.y_m)) <= near_m, cone.words
    for shape in shapes:
        for corner in shape.exterior.coords[:-1]:
            away, marks = min(
                (math.dist(corner, spot), cone.marks)
                for spot, cone in zip(spots, found.cones, strict=True)
            )
            assert away <= near_m + (0.5 if "," in marks else 0.0), (corner, marks)


@pytest.mark.parametrize("pitch", PITCHES, ids=lambda pitch: pitch.key)
def test_every_part_of_the_invented_club(pitch: Pitch) -> None:
    """On every part of every pitch the words alone lead to the corners of every game."""
    checked = 0
    names = (pitch.edges.start, pitch.edges.far, pitch.edges.right, pitch.edges.left)
    for area in pitch.areas:
        goals = [
            GoalSpot(goal.x_m, goal.y_m, goal.width_m, goal.kind)
            for goal in goals_on(area, pitch.goals)
        ]
        anchors = Anchors.of(
            pitch.polygon,
            pitch.edges,
            area.polygon,
            goals=goals,
            entrance=pitch.entrance,
            has_halfway=True,
        )
        ways = [*ways_on(area.polygon, 14, goals)[:2], *ways_on(area.polygon, 6, goals)[:1]]
        for way in ways:
            walker = box_walker(pitch.polygon.bounds, names)
            add_posts(walker, goals)
            look_from(walker, area.polygon)
            found = list_set_out(way, anchors)
            check(found, walker, [game.piece.polygon for game in way.games])
            checked += len(found.cones)
    assert checked


def look_from(walker: Walker, part: Polygon) -> None:
    """See on which side of the halfway line the own half is."""
    half = walker.lines["the halfway line"]
    way = 1.0 if part.centroid.x > half.spot[0] else -1.0
    walker.lines["the halfway line"] = replace(half, inwards=(way, 0.0))


def add_posts(walker: Walker, goals: Sequence[GoalSpot]) -> None:
    """Let the walker see the posts of goals that are fixed on a line."""
    for name, line in walker.lines.items():
        for goal in goals:
            dx, dy = goal.x_m - line.spot[0], goal.y_m - line.spot[1]
            if abs(dx * line.inwards[0] + dy * line.inwards[1]) < 0.5:
                along = dx * line.along[0] + dy * line.along[1]
                one, other = (
                    (line.spot[0] + at * line.along[0], line.spot[1] + at * line.along[1])
                    for at in (along - goal.width_m / 2, along + goal.width_m / 2)
                )
                walker.posts[name] = (one, other)


@pytest.mark.parametrize("degrees", [-44.0, -13.7, 0.0, 8.0, 23.7, 44.0])
@pytest.mark.parametrize(
    "part", [(0, 0, 33.333, 64), (33.333, 0, 66.667, 64), (50, 32, 100, 64), (20, 10, 70, 50)]
)
def test_turned_by_any_angle(degrees: float, part: tuple[float, float, float, float]) -> None:
    """However a pitch lies in its frame, the words lead to the corners of the games."""
    outline = turned(shapely.box(0, 0, 100, 64), degrees)
    own = turned(shapely.box(*part), degrees)
    way = ways_on(own, 14)[0]
    walker = box_walker((0, 0, 100, 64), NAMES, degrees)
    found = list_set_out(way, Anchors.of(outline, EDGES, own))
    assert found.cones
    check(found, walker, [game.piece.polygon for game in way.games])


@given(st.floats(1, 60), st.floats(1, 30), st.floats(4, 35), st.floats(3, 30), st.floats(-180, 180))
def test_a_game_at_any_slant_within_a_part(
    x: float, y: float, length: float, width: float, degrees: float
) -> None:
    """A rectangle that lies slantwise is told by its corners' distances like any other."""
    piece = Piece(x, y, length, width, degrees)
    part = shapely.box(0, 0, 66, 64)
    if not part.covers(piece.polygon):
        return
    anchors = Anchors.of(shapely.box(0, 0, 100, 64), EDGES, part)
    check(list_corners([piece], anchors), box_walker((0, 0, 100, 64), NAMES), [piece.polygon])


def turned(shape: Polygon, degrees: float) -> Polygon:
    """Turn a shape about the origin."""
    return shapely.Polygon([turn((x, y), degrees) for x, y in shape.exterior.coords[:-1]])


LINES: dict[str, dict[str, tuple[Spot, Spot]]] = {
    "L-shape": {
        "the Road side": ((0, 0), (60, 0)),
        "the Church end": ((60, 0), (60, 30)),
        "the River side": ((30, 64), (0, 64)),
        "the Mill end": ((0, 64), (0, 0)),
    },
    "slanted": {
        "the Road side": ((0, 0), (100, 0)),
        "the Church end": ((100, 0), (85, 60)),
        "the River side": ((85, 60), (20, 64)),
        "the Mill end": ((20, 64), (0, 0)),
    },
    "triangle": {
        "the Road side": ((0, 0), (50, 0)),
        "the River side": ((50, 0), (0, 40)),
        "the Mill end": ((0, 40), (0, 0)),
    },
    "disc": {
        "the Road side": ((0, 0), (60, 0)),
        "the Church end": ((60, 0), (60, 60)),
        "the River side": ((60, 60), (0, 60)),
        "the Mill end": ((0, 60), (0, 0)),
    },
}
SHAPES = {"L-shape": L_SHAPE, "slanted": SLANTED, "triangle": TRIANGLE, "disc": DISC}


@pytest.mark.parametrize("name", LINES)
def test_on_irregular_ground(name: str) -> None:
    """On L-shapes, slanted, three-sided and round ground the words lead to every corner."""
    shape = SHAPES[name]
    for players in (4, 8, 12):
        for way in ways_on(shape, players):
            walker = Walker(see_lines(LINES[name]))
            walker.marks = {
                "halfway mark on the Road side": (30, 0),
                "halfway mark on the River side": (30, 60),
            }
            walker.extents = {
                "the inner edge towards the River side": ((60, 30), (30, 30)),
                "the inner edge towards the Church end": ((30, 30), (30, 64)),
            }
            found = list_set_out(way, Anchors.of(shape, EDGES))
            check(found, walker, [game.piece.polygon for game in way.games])


def test_a_cone_on_the_end_line_is_told_from_the_post_of_its_goal() -> None:
    """Beside a fixed goal its post is nearer than a side, and can be found in the dark."""
    piece = Piece(0, 22, 25, 20, 0)
    found = list_corners([piece], Anchors.of(shapely.box(0, 0, 100, 64), EDGES, goals=GOALS))
    words = [cone.words for cone in found.cones]
    assert (
        "Corner: on the Mill end line, 6.3 m (7 paces) from the goal post towards the Road side."
        in words
    )
    walker = box_walker((0, 0, 100, 64), NAMES)
    add_posts(walker, GOALS)
    check(found, walker, [piece.polygon])


def test_two_goals_on_a_line_are_no_mark() -> None:
    """Where several goals stand on a line nobody would know whose post is meant."""
    pair = tuple(GoalSpot(0, y, 3, GoalKind.FIXED) for y in (16, 48))
    anchors = Anchors.of(shapely.box(0, 0, 100, 64), EDGES, goals=pair)
    words = " ".join(cone.words for cone in list_corners([Piece(0, 22, 25, 20, 0)], anchors).cones)
    assert "goal post" not in words


@pytest.mark.parametrize(
    ("measure", "words"),
    [
        (Measure.BOTH, "12 m (13 paces)"),
        (Measure.METRES, "12 m"),
        (Measure.YARDS, "13 yd"),
        (Measure.PACES, "13 paces"),
    ],
)
def test_distances_in_the_measure_that_was_chosen(measure: Measure, words: str) -> None:
    """Metres with paces, or the one measure that the reader chose."""
    anchors = Anchors.of(shapely.box(0, 0, 100, 64), EDGES)
    with measuring(measure):
        found = list_corners([Piece(80, 12, 20, 15, 0)], anchors)
    assert f"Corner: on the Church end line, {words} from the Road side." in [
        cone.words for cone in found.cones
    ]


def test_an_own_line_on_the_halfway_line_is_called_so() -> None:
    """A half ends at the halfway line where one is marked; else its line is told from an end."""
    outline, half = shapely.box(0, 0, 100, 64), shapely.box(50, 0, 100, 64)
    piece = Piece(55, 3, 20, 15, 0)
    marked = list_corners([piece], Anchors.of(outline, EDGES, half, has_halfway=True))
    bare = list_corners([piece], Anchors.of(outline, EDGES, half))
    assert "5 m (6 paces) from the halfway line, 3 m (3 paces) from the Road side" in " ".join(
        marked.lines
    )
    assert not any(line.startswith("Your line") for line in marked.first)
    assert "Your line towards the Mill end is 50 m (56 paces) from the Mill end." in bare.first


def test_a_part_that_is_not_square_to_the_pitch_is_told_by_its_corners() -> None:
    """An own line that runs slantwise begins and ends at spots told from the pitch."""
    part = shapely.Polygon([(20, 10), (60, 20), (55, 50), (20, 50)])
    found = list_corners(
        [Piece(30, 20, 15, 10, 0)], Anchors.of(shapely.box(0, 0, 100, 64), EDGES, part)
    )
    told = next(line for line in found.first if "begins" in line)
    assert told == (
        "Your line towards the Road side begins 20 m (22 paces) from the Mill end, 10 m (11 paces) "
        "from the Road side; it ends 40 m (44 paces) from the Church end, 20 m (22 paces) from the "
        "Road side."
    )


def test_obstacles_and_holes_do_not_move_a_line() -> None:
    """A pillar within a hall changes nothing about its walls."""
    hall = shapely.Polygon(shapely.box(0, 0, 33, 18).exterior, [shapely.box(11, 8, 12, 9).exterior])
    found = list_corners([Piece(3, 3, 20, 4, 0)], Anchors.of(hall, EDGES))
    check(found, box_walker((0, 0, 33, 18), NAMES), [Piece(3, 3, 20, 4, 0).polygon])


def test_the_coachs_own_pace_counts() -> None:
    """Paces are as long as the coach's, and metres stay."""
    anchors = Anchors.of(shapely.box(0, 0, 100, 64), EDGES)
    piece = Piece(80, 12, 20, 15, 0)
    found = list_corners([piece], anchors, pace_m=0.6)
    assert "12 m (20 paces) from the Road side" in " ".join(found.lines)
    assert replace(found.cones[0], words="") == replace(
        list_corners([piece], anchors).cones[0], words=""
    )
