"""Clear ground between games and what somebody could run into: laid first, and measured."""

from __future__ import annotations

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from clubplanner.domain.ground.grounds import GoalKind
from clubplanner.fitting import EndKind, GoalSpot, SessionNeed, Way, list_ways
from clubplanner.fitting.setting_out.run_off import (
    Clearance,
    Hazard,
    HazardKind,
    clear_as_told_m,
    clear_ground,
    clearance_in_words,
    edges_of,
)
from tests.fitting.shapes import AWKWARD, THIRD, read_bands

BANDS = read_bands()


def question(ground: shapely.Polygon = THIRD, margin_m: float = 3.0, **rest: object) -> SessionNeed:
    """Ask for fourteen players with a goalkeeper on ground whose edges are to be kept clear of."""
    words: dict[str, object] = {"hazards": edges_of(ground), **rest}
    return SessionNeed(ground, 14, 1, None, bands=BANDS, margin_m=margin_m, **words)  # type: ignore[arg-type]


def least_m(way: Way, shape: shapely.Geometry) -> float:
    """Measure how near the games of a way come to something."""
    return min(game.piece.polygon.distance(shape) for game in way.games)


def test_games_keep_clear_of_every_edge() -> None:
    """With three metres asked for, no game of any way comes nearer, and each way says so."""
    for way in list_ways(question()):
        assert least_m(way, THIRD.exterior) >= 3 - 0.011
        assert way.clear == "Fits with 3 m clear all round."
        assert way.clear_m is not None


def test_to_the_line_where_nothing_fits_otherwise() -> None:
    """On a strip that holds a game to the line only, it is laid, and said what is too near."""
    strip = shapely.box(0, 0, 60, 9)
    (best, *_) = list_ways(question(strip, margin_m=3.0, size_m=(20.0, 8.0)))
    assert least_m(best, strip.exterior) < 1
    assert best.clear.startswith("Fits with 0.5 m clear only, not 3 m: nearest is an edge")
    tight = shapely.box(0, 0, 60, 8.2)
    (best, *_) = list_ways(question(tight, margin_m=3.0, size_m=(20.0, 8.0)))
    assert best.clear.startswith("Fits to the line only: 3 m should be clear, and an edge of the")


def test_without_a_margin_it_is_said_that_none_is_kept() -> None:
    """Games laid to the line say so; where nothing is known of the surroundings nothing is said."""
    assert {way.clear for way in list_ways(question(margin_m=0.0))} == {
        "Fits to the line: no clear ground is kept round it."
    }
    assert {way.clear for way in list_ways(question(hazards=()))} == {""}


def test_neighbours_who_are_there_are_kept_clear_of_and_free_ground_is_used() -> None:
    """Metres are kept towards a neighbour, none towards ground where nobody is."""
    left = shapely.box(-33, 0, 0, 64)
    for way in list_ways(question(hazards=(Hazard(HazardKind.NEIGHBOUR, left),))):
        assert least_m(way, left) >= 3 - 0.011
    reached = [
        max(x for game in way.games for x, _y in game.piece.corners)
        for way in list_ways(question(hazards=(Hazard(HazardKind.NEIGHBOUR, left),)))
    ]
    assert max(reached) > 33.3 - 3, "towards the free side games go to the line"


def test_a_fixed_goal_is_no_hazard_to_its_own_game_only() -> None:
    """A game ends at the line of its goal; every other game keeps clear of the goal."""
    goal = GoalSpot(0, 32, 7.32, GoalKind.FIXED)
    line = shapely.LineString([(0, 0), (0, 64)])
    sides = [
        Hazard(HazardKind.EDGE, shapely.LineString(ends))
        for ends in ([(0, 0), (50, 0)], [(50, 0), (50, 64)], [(50, 64), (0, 64)])
    ] + [Hazard(HazardKind.GOAL_LINE, line)]
    ground = shapely.box(0, 0, 50, 64)
    found = list_ways(question(ground, hazards=tuple(sides), goals=(goal,)))
    assert EndKind.FIXED_GOAL in {end.kind for game in found[0].games for end in game.ends}
    assert "all round but along the goal line: look that the ground behind" in found[0].clear
    for way in found:
        assert ("goal line" in way.clear) == (least_m(way, line) < 3 - 0.011)
    mouth = shapely.LineString([(0, 32 - 3.66), (0, 32 + 3.66)])
    for game in found[0].games:
        if EndKind.FIXED_GOAL not in {end.kind for end in game.ends}:
            assert game.piece.polygon.distance(mouth) >= 3 - 0.011


def test_a_goal_nobody_plays_to_is_kept_clear_of() -> None:
    """Where a goal in the middle of a ground serves no game, games lie clear of it if they can."""
    goal = GoalSpot(25, 32, 5.0, GoalKind.FIXED)
    ground = shapely.box(0, 0, 50, 64)
    best = list_ways(question(ground, goals=(goal,), size_m=(20.0, 15.0)))[0]
    served = [end.kind for game in best.games for end in game.ends]
    if EndKind.FIXED_GOAL not in served:
        assert least_m(best, shapely.Point(25, 32)) >= 3 - 0.011
    assert best.clear.startswith("Fits with 3 m clear all round")


@pytest.mark.parametrize("name", sorted(AWKWARD))
@given(margin_m=st.floats(0.1, 8.0))
def test_clear_ground_lies_on_the_ground_and_off_the_hazards(name: str, margin_m: float) -> None:
    """Whatever the outline, what is left is inside it and as far from its edges as asked."""
    ground = AWKWARD[name]
    left = clear_ground(ground, edges_of(ground), margin_m)
    if left is None:
        return
    assert ground.buffer(1e-6).covers(left)
    assert left.distance(ground.exterior) >= margin_m - 1e-6
    # straight strips leave no more than a margin drawn by round buffers would
    assert left.area <= shapely.buffer(ground, -margin_m).area + 1e-6


@pytest.mark.parametrize(
    ("metres", "margin_m", "told"),
    [
        (5.0, 3.0, 3.0),
        (2.995, 3.0, 3.0),
        (1.29, 3.0, 1.2),
        (0.4, 3.0, 0.0),
        (2.0, 0.0, 0.0),
    ],
)
def test_what_is_told_of_clear_ground_is_never_more_than_there_is(
    metres: float, margin_m: float, told: float
) -> None:
    """As asked for, else in tenths rounded down; less than half a metre is to the line."""
    clearance = Clearance(metres, HazardKind.EDGE)
    assert clear_as_told_m(clearance, margin_m) == pytest.approx(told)
    words = clearance_in_words(clearance, margin_m)
    assert (f"{told:g} m" in words) is bool(told)


def test_nothing_is_told_where_nothing_is_known() -> None:
    """Ground without surroundings has no clear ground to tell of."""
    assert clear_as_told_m(None, 3.0) == 0.0
