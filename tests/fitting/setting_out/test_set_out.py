"""What to set out, paced from a mark that can be found."""

from __future__ import annotations

import math

import pytest
import shapely
from shapely import Polygon

from clubplanner.domain.ground.grounds import Edges
from clubplanner.fitting import (
    Anchors,
    EndKind,
    Landmark,
    Piece,
    SessionNeed,
    Way,
    find_landmarks,
    list_corners,
    list_set_out,
    list_ways,
    measure,
)
from clubplanner.fitting.setting_out.laying import ends_of
from tests.fitting.shapes import read_bands

EDGES = Edges("Mill end", "Church end", "Road side", "River side")
PITCH = shapely.box(0, 0, 100, 64)
MARKS = find_landmarks(PITCH, EDGES)
MIDDLE_THIRD = shapely.box(33.333, 0, 66.666, 64)


def anchors_of(part: Polygon, entrance: tuple[float, float] | None = None) -> Anchors:
    """Look round on a part of the pitch."""
    return Anchors.of(PITCH, EDGES, part, entrance=entrance)


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
def test_every_corner_zone_and_carried_goal_has_a_number(ground: Polygon) -> None:
    """Four corners a game, two cones an end zone, and each goal that is carried: numbered once."""
    way = best_way(14, 1, ground, goals=1, targets=2)
    found = list_set_out(way, anchors_of(ground))
    assert [cone.number for cone in found.cones] == list(range(1, len(found.cones) + 1))
    kinds = [end.kind for game in way.games for end in game.ends]
    cones = [cone for cone in found.cones if not cone.kind.is_carried]
    assert len(cones) == 4 * len(way.games) + 2 * kinds.count(EndKind.END_ZONE)
    carried = [cone for cone in found.cones if cone.kind.is_carried]
    assert len(carried) == found.goals + found.target_goals > 0
    middles = [middle for game in way.games for middle, _out in ends_of(game.piece)]
    for cone in carried:
        assert min(math.dist((cone.x_m, cone.y_m), middle) for middle in middles) < 1e-6
        assert "oal of game" in cone.words


def test_cones_that_nearly_meet_are_one() -> None:
    """Where corners of two areas meet, one cone marks both; a goal is never a cone."""
    pieces = [Piece(3, 3, 20, 15, 0), Piece(23, 3, 20, 15, 0)]
    assert len(list_corners(pieces, anchors_of(PITCH)).cones) == 6
    apart = [Piece(3, 3, 20, 15, 0), Piece(24, 3, 20, 15, 0)]
    assert len(list_corners(apart, anchors_of(PITCH)).cones) == 8


def test_numbers_begin_at_the_way_in() -> None:
    """The first cone is near the way in; without one the walk begins at a mark that is named."""
    way = best_way(14, 1, MIDDLE_THIRD)
    found = list_set_out(way, anchors_of(MIDDLE_THIRD, (60.0, 65.0)))
    first = found.cones[0]
    nearest = min(math.dist((60, 65), (cone.x_m, cone.y_m)) for cone in found.cones)
    assert math.dist((60, 65), (first.x_m, first.y_m)) <= nearest + 1e-6
    assert "The numbers follow your walk from the way in." in found.first
    unknown = list_set_out(way, anchors_of(MIDDLE_THIRD))
    assert unknown.first[-1] == (
        "The numbers follow your walk from the halfway mark on the River side."
    )


def test_own_lines_are_found_before_the_first_cone() -> None:
    """Where a part ends within the pitch, the list first tells how far its line is from an end."""
    found = list_set_out(best_way(14, 1, MIDDLE_THIRD), anchors_of(MIDDLE_THIRD))
    assert "Your line towards the Mill end is 33.3 m (37 paces) from the Mill end." in found.first
    assert found.lines[: len(found.first)] == found.first
    assert found.lines[len(found.first)] == f"1. {found.cones[0].words}"


def test_more_cones_than_anybody_lays_are_not_listed() -> None:
    """Of a hundred practice areas the corners are not told one by one."""
    pieces = [Piece(5 * n, 5 * m, 5, 5, 0) for n in range(10) for m in range(10)]
    assert list_corners(pieces, anchors_of(PITCH)).cones == ()
    assert list_corners([], anchors_of(PITCH)).cones == ()


def test_kit_for_fourteen() -> None:
    """Bibs by side, the goalkeeper's colour and the goals to carry are counted."""
    found = list_set_out(best_way(14, 1, MIDDLE_THIRD, goals=1), anchors_of(MIDDLE_THIRD))
    assert found.bibs == (7, 6)
    assert found.goals == 1
    assert (
        "Bibs: 7 of one colour and 6 of another (game 1: 4 and 3; game 2: 3 and 3)." in found.lines
    )
    assert "1 goalkeeper wears a further colour." in found.lines
    assert "anchor every goal" in found.kit[-1]


@pytest.mark.parametrize(("targets", "words"), [(1, "a small target goal"), (3, "3 small target")])
def test_small_target_goals_are_brought_and_made_safe(targets: int, words: str) -> None:
    """The list counts small target goals, says where they go and that they are to be pegged."""
    found = list_set_out(best_way(14, 1, MIDDLE_THIRD, targets=targets), anchors_of(MIDDLE_THIRD))
    assert found.target_goals == targets
    assert words in found.lines[-1]
    assert "middle of its end" in found.lines[-1]
    assert "peg or weight" in found.lines[-1]


def test_paces_are_the_coachs_own() -> None:
    """A shorter pace makes more paces and leaves the metres."""
    way = best_way(14, 1, MIDDLE_THIRD)
    long, short = (list_set_out(way, anchors_of(MIDDLE_THIRD), pace_m=pace) for pace in (1.0, 0.5))
    (length, _), (same, _) = long.sizes[0], short.sizes[0]
    assert (length.metres, length.paces) == (30, 30)
    assert (same.metres, same.paces) == (30, 60)


def test_without_a_game_there_are_no_cones() -> None:
    """Work without a game needs no cones."""
    found = list_set_out(best_way(1, 1, MIDDLE_THIRD), anchors_of(MIDDLE_THIRD))
    assert (found.cones, found.bibs, found.goals, found.lines) == ((), (), 0, ())


def test_sizes_are_said_once_for_equal_games() -> None:
    """Games of one size are told together, others each by its number."""
    found = list_set_out(best_way(14, 1, MIDDLE_THIRD), anchors_of(MIDDLE_THIRD))
    assert found.first[0] == (
        "Each is 30 m (33 yd, 33 paces) long and 25 m (27.5 yd, 28 paces) wide."
    )
    two = list_corners([Piece(3, 3, 20, 15, 0), Piece(30, 3, 25, 15, 0)], anchors_of(PITCH))
    assert [line.split(" is ")[0] for line in two.first[:2]] == ["Game 1", "Game 2"]
