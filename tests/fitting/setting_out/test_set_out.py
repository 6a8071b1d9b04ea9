"""What to set out, paced from a mark that can be found."""

from __future__ import annotations

import math

import pytest
import shapely
from shapely import Polygon

from clubplanner.domain.ground.grounds import Edges
from clubplanner.fitting import (
    EndKind,
    Landmark,
    SessionNeed,
    Way,
    find_landmarks,
    list_set_out,
    list_ways,
    measure,
)
from tests.fitting.shapes import read_bands

EDGES = Edges("Mill end", "Church end", "Road side", "River side")
PITCH = shapely.box(0, 0, 100, 64)
MARKS = find_landmarks(PITCH, EDGES)
MIDDLE_THIRD = shapely.box(33.333, 0, 66.666, 64)


def best_way(
    players: int, goalkeepers: int, ground: Polygon, goals: int = 0, targets: int = 0
) -> Way:
    """Return the best way to play."""
    bands = tuple(band for band in read_bands() if band.source.startswith("Owen"))
    need = SessionNeed(
        ground,
        players,
        goalkeepers,
        13,
        portable_goals=goals,
        bands=bands,
        target_goals=targets,
    )
    return list_ways(need)[0]


def test_lengths_in_three_ways() -> None:
    """Ten yards are 9.144 m, exactly (international yard of 1959), and ten paces of 0.9144 m."""
    assert measure(9.144, 0.9144).words == "9.1 m (10 yd, 10 paces)"
    assert measure(0.9, 0.9).words == "0.9 m (1 yd, 1 pace)"
    assert measure(0.0).words == "0 m (0 yd, 0 paces)"


@pytest.mark.parametrize("pace_m", [0.0, 0.29, 1.6, math.nan, math.inf])
def test_a_pace_is_a_persons(pace_m: float) -> None:
    """A pace nobody takes is refused."""
    with pytest.raises(ValueError, match="pace"):
        measure(10, pace_m)


def test_marks_of_a_pitch() -> None:
    """A pitch has four corners and two halfway marks, by the names of its ends and sides."""
    assert len(MARKS) == 6
    assert Landmark("corner of the Church end and the Road side", 100, 0) in MARKS
    assert Landmark("halfway mark on the River side", 50, 64) in MARKS


def test_cut_corners_are_no_marks() -> None:
    """Where a corner is cut off there is nothing to start from."""
    cut = Polygon([(10, 0), (100, 0), (100, 64), (0, 64), (0, 10)])
    assert "corner of the Mill end and the Road side" not in {
        mark.name for mark in find_landmarks(cut, EDGES)
    }


@pytest.mark.parametrize("ground", [MIDDLE_THIRD, shapely.box(0, 0, 50, 64), PITCH])
def test_walks_lead_to_every_corner(ground: Polygon) -> None:
    """From the mark the distances lead to each corner of each game, and to nothing else."""
    way = best_way(14, 1, ground)
    found = list_set_out(way, MARKS, EDGES, zone_m=3.0)
    reached = set()
    for cone in found.cones:
        dx = cone.along.metres * (1 if "Church end" in cone.walk else -1)
        dy = cone.across.metres * (1 if "River side" in cone.walk else -1)
        reached.add((round(found.start.x_m + dx, 0), round(found.start.y_m + dy, 0)))
    corners = {
        (round(round(x - found.start.x_m, 1) + found.start.x_m, 0), round(y, 0))
        for game in way.games
        for x, y in game.piece.corners
    }
    near = [min(math.dist(corner, spot) for spot in reached) for corner in corners]
    assert max(near) <= 1.5
    zones = sum(end.kind == EndKind.END_ZONE for game in way.games for end in game.ends)
    assert len(found.cones) == 4 * len(way.games) + 2 * zones


def test_start_is_the_mark_nearest_to_a_cone() -> None:
    """On a middle third the halfway mark is nearer than any corner."""
    found = list_set_out(best_way(14, 1, MIDDLE_THIRD), MARKS, EDGES)
    assert found.start.name.startswith("halfway mark")
    assert found.lines[0] == f"Start at the {found.start.name}."
    distances = [math.hypot(cone.along.metres, cone.across.metres) for cone in found.cones]
    assert distances == sorted(distances)


def test_kit_for_fourteen() -> None:
    """Bibs by side, the goalkeeper's colour and the goals to carry are counted."""
    found = list_set_out(best_way(14, 1, MIDDLE_THIRD, goals=1), MARKS, EDGES)
    assert found.bibs == (7, 6)
    assert found.goals == 1
    assert (
        "Bibs: 7 of one colour and 6 of another (game 1: 4 and 3; game 2: 3 and 3)." in found.lines
    )
    assert "1 goalkeeper wears a further colour." in found.lines
    assert "anchor every goal" in found.lines[-1]


@pytest.mark.parametrize(("targets", "words"), [(1, "a small target goal"), (3, "3 small target")])
def test_small_target_goals_are_brought_and_made_safe(targets: int, words: str) -> None:
    """The list counts small target goals, says where they go and that they are to be pegged."""
    found = list_set_out(best_way(14, 1, MIDDLE_THIRD, targets=targets), MARKS, EDGES)
    assert found.target_goals == targets
    assert words in found.lines[-1]
    assert "middle of its end" in found.lines[-1]
    assert "peg or weight" in found.lines[-1]


def test_paces_are_the_coachs_own() -> None:
    """A shorter pace makes more paces and leaves the metres."""
    way = best_way(14, 1, MIDDLE_THIRD)
    long, short = (list_set_out(way, MARKS, EDGES, pace_m=pace) for pace in (1.0, 0.5))
    (length, _), (same, _) = long.sizes[0], short.sizes[0]
    assert (length.metres, length.paces) == (30, 30)
    assert (same.metres, same.paces) == (30, 60)


def test_without_a_game_there_are_no_cones() -> None:
    """Work without a game needs no cones; without a mark there is nowhere to start."""
    found = list_set_out(best_way(1, 1, MIDDLE_THIRD), MARKS, EDGES)
    assert (found.cones, found.bibs, found.goals) == ((), (), 0)
    with pytest.raises(ValueError, match="at least one mark"):
        list_set_out(best_way(14, 1, MIDDLE_THIRD), (), EDGES)
