"""Painted lines: at their published distances from goals and ends, at any angle, or not at all."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import pytest
import shapely
from shapely import Point, Polygon
from shapely.affinity import rotate

from clubplanner.domain.ground.grounds import Goal, GoalKind
from clubplanner.domain.ground.orientation.markings import lines_on, parse_markings, pitch_markings
from clubplanner.geometry.shapes import rectangle
from clubplanner.resources import published_table
from tests.builders import make_pitch

if TYPE_CHECKING:
    from collections.abc import Sequence

    from shapely.geometry.base import BaseGeometry

FIELDS = parse_markings(published_table("markings.csv"))
FULL = rectangle(0, 0, 100, 64)
HEADER = published_table("markings.csv").splitlines()[0]


def pair(length_m: float, width_m: float, goal: tuple[float, float]) -> tuple[Goal, Goal]:
    """Return a goal in the middle of each end of ground at the origin."""
    wide, high = goal
    start = Goal(0, width_m / 2, 90, wide, high, GoalKind.FIXED)
    return start, Goal(length_m, width_m / 2, 90, wide, high, GoalKind.FIXED)


def turned(goals: Sequence[Goal], angle_deg: float) -> tuple[Goal, ...]:
    """Turn goals about the origin."""
    moved = []
    for goal in goals:
        place = rotate(Point(goal.x_m, goal.y_m), angle_deg, origin=(0, 0))
        moved.append(
            Goal(
                place.x,
                place.y,
                goal.along_deg + angle_deg,
                goal.width_m,
                goal.height_m,
                goal.kind,
            )
        )
    return tuple(moved)


def drawn(ground: Polygon, goals: Sequence[Goal], surface: str = "grass") -> BaseGeometry:
    """Return all lines of ground as one shape."""
    return shapely.union_all(list(lines_on(ground, surface, goals, FIELDS)))


def is_on(lines: BaseGeometry, *points: tuple[float, float]) -> bool:
    """Tell whether every point lies on a line, to the roundness of a drawn circle."""
    return all(lines.distance(Point(point)) < 0.1 for point in points)


FOOTBALL = pair(100, 64, (7.32, 2.44))


def test_a_football_pitch_has_the_lines_of_law_1() -> None:
    """Areas, marks and circles of 100 × 64 m lie where Law 1 measures them."""
    # IFAB Laws of the Game 2024-25, Law 1: 16.5 m and 5.5 m from the inside of each post (7.32 m
    # apart) and into the field; mark at 11 m; arcs and circle of 9.15 m; corner arc of 1 m
    lines = drawn(FULL, FOOTBALL)
    post = 32 + 7.32 / 2
    assert is_on(lines, (16.5, 32), (8, post + 16.5), (8, 64 - post - 16.5))
    assert is_on(lines, (5.5, 32), (2, post + 5.5), (100 - 5.5, 32), (100 - 16.5, 32))
    assert is_on(lines, (50, 0), (50, 64), (50 + 9.15, 32), (50, 32 - 9.15))
    assert is_on(lines, (11 + 9.15, 32), (100 - 11 - 9.15, 32))
    assert is_on(lines, (0, 1), (1, 0), (100, 63), (99, 64))
    assert not is_on(lines, (11 - 9.15, 32)), "the arc is drawn outside the area alone"
    assert lines.distance(Point(11, 32)) < 0.3
    assert lines.distance(Point(30, 32)) > 5


@pytest.mark.parametrize("angle_deg", [0.0, 17.0, 54.3, 90.0, 133.0, 180.0, 271.5])
def test_lines_turn_with_the_ground(angle_deg: float) -> None:
    """A pitch that lies at an angle in its frame has the same lines, turned with it."""
    lines = drawn(rotate(FULL, angle_deg, origin=(0, 0)), turned(FOOTBALL, angle_deg))
    straight = drawn(FULL, FOOTBALL)
    assert shapely.hausdorff_distance(
        rotate(lines, -angle_deg, origin=(0, 0)), straight
    ) == pytest.approx(0, abs=0.2)


def test_a_pitch_drawn_across_its_frame_has_its_areas_at_its_goals() -> None:
    """Where the longer side runs along y, the areas lie at the ends with the goals."""
    goals = (
        Goal(32, 0, 0, 7.32, 2.44, GoalKind.FIXED),
        Goal(32, 100, 0, 7.32, 2.44, GoalKind.FIXED),
    )
    assert is_on(drawn(rectangle(0, 0, 64, 100), goals), (32, 16.5), (32, 83.5), (0, 50))


def test_a_cut_corner_cuts_the_lines() -> None:
    """Ground with a corner cut off keeps the lines of its rectangle, as far as it reaches."""
    clipped = shapely.difference(FULL, Polygon([(100, 64), (70, 64), (100, 44)]))
    assert isinstance(clipped, Polygon)
    lines = drawn(clipped, FOOTBALL)
    assert is_on(lines, (16.5, 32), (50, 60), (5.5, 32))
    assert shapely.buffer(clipped, 0.01).covers(lines)
    assert not is_on(lines, (99, 64))


@pytest.mark.parametrize(
    ("ground", "goals"),
    [
        (rectangle(0, 0, 80, 64), pair(80, 64, (7.32, 2.44))),  # shorter than any match
        (rectangle(0, 0, 100, 40), pair(100, 40, (7.32, 2.44))),  # narrower
        (FULL, ()),  # nothing says what is played
        (FULL, FOOTBALL[:1]),  # a goal at one end alone
        (FULL, pair(100, 64, (6.0, 2.0))),  # goals of no published size
        (FULL, pair(90, 64, (7.32, 2.44))),  # a goal ten metres inside the end
        (Polygon([(0, 0), (100, 0), (100, 30), (60, 30), (60, 64), (0, 64)]), FOOTBALL),
    ],
)
def test_what_fits_no_published_field_has_no_lines(
    ground: Polygon, goals: tuple[Goal, ...]
) -> None:
    """Rather none than false ones."""
    assert lines_on(ground, "grass", goals, FIELDS) == ()
    assert lines_on(FULL, "water", FOOTBALL, FIELDS) == ()


def test_a_hall_of_two_sports_has_the_lines_that_both_have() -> None:
    """40 × 20 m with goals of 3 × 2 m is futsal's and handball's: the 6 m line and the halfway."""
    both = drawn(rectangle(0, 0, 40, 20), pair(40, 20, (3, 2)), "indoor")
    assert is_on(both, (6, 10), (34, 10), (20, 3))
    assert not is_on(both, (9, 10)), "handball's free-throw line is not futsal's"
    assert not is_on(both, (23, 10)), "futsal's centre circle is not handball's"
    futsal = drawn(rectangle(0, 0, 34, 18), pair(34, 18, (3, 2)), "indoor")
    assert is_on(futsal, (6, 9), (17 + 3, 9), (0, 9 + 1.58 + 6))


def test_a_basketball_court_is_told_by_its_size_where_no_goals_stand() -> None:
    """28 × 15 m without goals has a three-point line 0.9 m from the sides; with goals none."""
    # FIBA Official Basketball Rules art. 2: 6.75 m about a point 1.575 m from the end line
    court = drawn(rectangle(0, 0, 28, 15), (), "indoor")
    assert is_on(court, (1.575 + 6.75, 7.5), (1, 0.9), (27, 14.1), (5.8, 6), (14 + 1.8, 7.5))
    assert drawn(rectangle(0, 0, 28, 15), pair(28, 15, (2.4, 1.6)), "indoor").is_empty


def test_hockey_and_rugby_have_their_lines() -> None:
    """Shooting circles about the posts and 23-metre lines; 22, 10, 15 and 5 metres, dashed."""
    # FIH Rules of Hockey: 14.63 m, 22.9 m; World Rugby Law 1: 22 m, 10 m from halfway, 5 m dashes
    hockey = drawn(rectangle(0, 0, 91.4, 55), pair(91.4, 55, (3.66, 2.14)), "artificial")
    assert is_on(hockey, (14.63, 27.5), (0, 27.5 + 1.83 + 14.63), (22.9, 4), (91.4 - 22.9, 4))
    rugby = drawn(rectangle(0, 0, 100, 70), pair(100, 70, (5.6, 3)))
    assert is_on(rugby, (22, 9), (78, 60), (50, 35), (2, 5), (2, 15), (40, 2))
    assert not is_on(rugby, (7.5, 5)), "a gap follows each dash of 5 m"


def test_a_marked_smaller_pitch_in_use_shows_its_own_lines() -> None:
    """On the ground of a mini pitch in use its own areas are shown, not those it lies across."""
    small = rectangle(20, 5, 36.58, 54.86)
    ends = [(20 + 36.58 / 2, y) for y in (5, 59.86)]
    minis = tuple(Goal(x, y, 0, 3.66, 1.83, GoalKind.PORTABLE) for x, y in ends)
    pitch = make_pitch(
        length_m=100, width_m=64, goals=(), standing_goals=(*FOOTBALL, *minis), cuts=()
    )
    area = type(pitch.areas[0])("mini", "Mini", "markings", small, 1, None)
    pitch = type(pitch)(
        **{name: getattr(pitch, name) for name in pitch.__slots__ if name != "areas"},
        areas=(*pitch.areas, area),
    )
    plain = shapely.union_all(list(pitch_markings(pitch, FIELDS)))
    in_use = shapely.union_all(list(pitch_markings(pitch, FIELDS, ["mini"])))
    assert is_on(plain, (50, 20), (16.5, 32))
    assert is_on(in_use, (38, 5 + 9.15), (38, 5 + 54.86 / 2), (16.5, 32))
    assert not is_on(in_use, (50, 20)), "the large pitch's halfway line passes under the mini"


def test_every_line_of_the_table_has_its_source() -> None:
    """A field without its source, or a line of an unknown shape, is not read."""
    assert {field.code for field in FIELDS} >= {"football-11", "hockey", "handball"}
    assert all(line.source for field in FIELDS for line in field.lines)
    blank = HEADER + "\nx,x,grass,field,1,2,1,2,,,,,,,read in the source,,\n"
    with pytest.raises(ValueError, match="needs a standing and a source"):
        parse_markings(blank)
    wild = HEADER + "\nx,x,grass,field,1,2,1,2,,,,,,,from memory,somebody,\n"
    wild += "x,x,,star,,,,,,,,,,,from memory,somebody,\n"
    with pytest.raises(ValueError, match="of the shapes"):
        parse_markings(wild)


def test_both_ends_are_alike() -> None:
    """Every field is the same seen from either end."""
    for field in FIELDS:
        length, width = field.length_m[1], field.width_m[1]
        goals = pair(length, width, field.goal_m) if field.goal_m else ()
        lines = drawn(rectangle(0, 0, length, width), goals, min(field.surfaces))
        other = rotate(lines, 180, origin=(length / 2, width / 2))
        assert not lines.is_empty, field.code
        assert shapely.hausdorff_distance(lines, other) < 0.2, field.code
        assert math.isclose(lines.length, other.length)
