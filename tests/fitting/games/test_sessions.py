"""The coach's question. Every layout named here is common practice, no source."""

from __future__ import annotations

from dataclasses import replace

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon

from clubplanner.domain.ground.grounds import GoalKind
from clubplanner.fitting import (
    EndKind,
    GoalSpot,
    SessionNeed,
    Way,
    list_ways,
)
from clubplanner.fitting.games.sessions import MOST_WAYS
from tests.fitting.shapes import AWKWARD, L_SHAPE, SLIVER, THIRD, fault_in_layout, read_bands
from tests.other_process import said_by

BANDS = read_bands()
OWEN = tuple(band for band in BANDS if band.source.startswith("Owen"))
GOAL = GoalSpot(0, 32, 7.32, GoalKind.FIXED)
FAR_GOAL = GoalSpot(100, 32, 7.32, GoalKind.FIXED)
PITCH = shapely.box(0, 0, 100, 64)


def need(players: int, goalkeepers: int, ground: Polygon = THIRD, **rest: object) -> SessionNeed:
    """Build a question about under 13s on the third with a fixed goal."""
    base = SessionNeed(ground, players, goalkeepers, 13, (GOAL,), bands=OWEN)
    return replace(base, **rest)  # type: ignore[arg-type]


def sides(way: Way) -> list[tuple[int, int]]:
    """Return the sides of each game, larger games first."""
    return sorted(((game.side_a, game.side_b) for game in way.games), reverse=True)


def kinds(way: Way) -> list[EndKind]:
    """Return what stands at every end of every game."""
    return [end.kind for game in way.games for end in game.ends]


@pytest.mark.parametrize("size", [None, (30.0, 20.0)])
def test_fourteen_with_one_goalkeeper(size: tuple[float, float] | None) -> None:
    """Thirteen outfield players make two games of three a side, and the extra one joins a side."""
    best = list_ways(need(14, 1, size_m=size))[0]
    assert sides(best) == [(4, 3), (3, 3)]
    assert best.waiting == 0
    assert best.extra_role is not None
    assert "4 v 3" in best.extra_role
    assert best.title == "Two games of 3 v 3, one of them 4 v 3"
    assert fault_in_layout([game.piece for game in best.games], THIRD, 3.0) is None


def test_thirteen_with_one_goalkeeper() -> None:
    """Twelve outfield players make exact threes, and the goalkeeper keeps the fixed goal."""
    best = list_ways(need(13, 1))[0]
    assert sides(best) == [(3, 3), (3, 3)]
    assert best.extra_role is None
    assert best.title == "Two games of 3 v 3"
    kept = [end for game in best.games for end in game.ends if end.goalkeeper]
    assert [end.kind for end in kept] == [EndKind.FIXED_GOAL]


def test_second_goalkeeper_gets_the_second_game_a_goal() -> None:
    """With two goalkeepers and a goal to carry both games have a goal with a goalkeeper."""
    best = list_ways(need(14, 2, portable_goals=1))[0]
    assert sides(best) == [(3, 3), (3, 3)]
    kept = [[end.kind for end in game.ends if end.goalkeeper] for game in best.games]
    assert sorted(map(str, (kind for found in kept for kind in found))) == [
        "fixed goal",
        "portable goal",
    ]
    assert all(len(found) == 1 for found in kept)


def test_more_players_make_fours() -> None:
    """Sixteen outfield players make two games of four a side."""
    best = list_ways(need(17, 1))[0]
    assert sides(best) == [(4, 4), (4, 4)]


def test_one_small_game_only_makes_sides_wait_and_rotate() -> None:
    """Where the ground holds one game of threes, two of four sides wait and take fair turns."""
    ground = shapely.box(0, 0, 31, 21)
    ways = list_ways(need(13, 1, ground, goals=(), size_m=(30.0, 20.0)))
    assert all(len(way.games) == 1 for way in ways)
    turns = next(way for way in ways if sides(way) == [(3, 3)])
    assert turns.waiting == 6
    assert turns.title == "One game of 3 v 3, two sides wait in turn"
    assert turns.rotation is not None
    assert (turns.rotation.sides, turns.rotation.plays_minutes) == (4, 12)
    assert turns.rotation.rests_minutes == 12
    assert any("sides 3 and 4 rest" in note for note in turns.notes)
    assert ways[0].waiting == 0  # nobody standing about comes first


def test_without_any_goal_play_is_to_end_zones() -> None:
    """Ground without a goal, and none to carry, is played to end zones, told to the coach."""
    best = list_ways(need(13, 1, goals=()))[0]
    assert set(kinds(best)) == {EndKind.END_ZONE}
    assert any("no goal" in note for note in best.notes)


def test_portable_goals_go_to_goalkeepers_first_then_further_ends() -> None:
    """Four goals to carry on bare ground stand at all four ends of two games."""
    best = list_ways(need(14, 2, goals=(), portable_goals=4))[0]
    assert kinds(best) == [EndKind.PORTABLE_GOAL] * 4
    best = list_ways(need(14, 2, goals=(), portable_goals=2))[0]
    assert [sum(end.kind == EndKind.PORTABLE_GOAL for end in g.ends) for g in best.games] == [1, 1]
    spot = GoalSpot(5, 5, 3.66, GoalKind.PORTABLE)
    assert kinds(list_ways(need(14, 2, goals=(spot,)))[0]).count(EndKind.PORTABLE_GOAL) == 1


def test_small_target_goals_stand_where_nobody_keeps_goal() -> None:
    """They stand opposite a goalkeeper first, then in pairs; one that is left over stays away."""
    for targets, expected in ((0, 0), (1, 1), (2, 1), (3, 3), (9, 3)):
        best = list_ways(need(13, 1, target_goals=targets))[0]
        ends = [end for game in best.games for end in game.ends]
        small = [end for end in ends if end.kind == EndKind.TARGET_GOAL]
        assert len(small) == expected
        assert not any(end.goalkeeper for end in small)
        kept = next(game for game in best.games if any(end.goalkeeper for end in game.ends))
        if targets:
            assert EndKind.TARGET_GOAL in {end.kind for end in kept.ends}
            assert any("a small target goal" in note for note in best.notes)


def test_a_goal_comes_before_a_small_one() -> None:
    """Where goals can be carried to every end no small one is needed."""
    best = list_ways(need(14, 2, goals=(), portable_goals=4, target_goals=4))[0]
    assert kinds(best) == [EndKind.PORTABLE_GOAL] * 4


def test_fixed_goal_counts_only_where_its_mouth_is_on_an_end_line() -> None:
    """Every end said to have a fixed goal has one within its line."""
    found = 0
    for way in list_ways(need(14, 2, PITCH, goals=(GOAL, FAR_GOAL))):
        for game in way.games:
            for end, (near, far) in zip(game.ends, ((0, 3), (1, 2)), strict=True):
                if end.kind != EndKind.FIXED_GOAL:
                    continue
                line = shapely.LineString([game.piece.corners[near], game.piece.corners[far]])
                gaps = [line.distance(shapely.Point(g.x_m, g.y_m)) for g in (GOAL, FAR_GOAL)]
                assert min(gaps) <= 1.5
                found += 1
    assert found > 1


def test_one_game_for_everyone_is_among_the_ways() -> None:
    """On a whole pitch two goalkeepers and twenty others find one game from goal to goal."""
    ways = list_ways(need(22, 2, PITCH, goals=(GOAL, FAR_GOAL), bands=BANDS))
    whole = [way for way in ways if sides(way) == [(10, 10)]]
    assert whole
    assert max(game.piece.area_m2 for way in whole for game in way.games) > 5000
    goal_to_goal = [way for way in whole if kinds(way) == [EndKind.FIXED_GOAL] * 2]
    assert goal_to_goal
    assert all(end.goalkeeper for end in goal_to_goal[0].games[0].ends)


def test_best_first_by_the_stated_rules() -> None:
    """Ways are in order of waiting, and within equal waiting even sides come first."""
    ways = list_ways(need(14, 1, PITCH, goals=(GOAL, FAR_GOAL), bands=BANDS))
    ranks = [(way.waiting, sum(game.side_a != game.side_b for game in way.games)) for way in ways]
    assert ranks == sorted(ranks)


def test_chosen_size_is_the_largest_published_that_fits() -> None:
    """Without a goal to mind, two games of threes get 30 × 25 m on a third, the largest band."""
    best = list_ways(need(12, 0, goals=()))[0]
    assert {(game.piece.length_m, game.piece.width_m) for game in best.games} == {(30.0, 25.0)}
    assert best.m2_per_outfield_player == pytest.approx(1500 / 12)
    assert any("Owen, Twist and Ford 2004" in note for note in best.notes)


def test_ground_is_set_against_what_is_published() -> None:
    """Six have 300 to 750 m² (Owen, Twist and Ford 2004, for 3 v 3): 50 to 125 m² each."""
    best = list_ways(need(12, 0, goals=()))[0]
    assert "125 m² for each outfield player; goalkeepers are not counted." in best.notes
    assert "Published practice areas give 50 to 125 m² each for 3 v 3." in best.notes
    uneven = list_ways(need(13, 0, goals=()))[0]
    assert any("for 3 v 3 and" in note and "for 4 v 4." in note for note in uneven.notes)
    bare = list_ways(need(12, 0, goals=(), bands=()))[0]
    assert not any("Published" in note for note in bare.notes)


def test_size_given_is_the_only_one_used() -> None:
    """A size the coach gives is used for every game, and ground outside the bands is told."""
    ways = list_ways(need(14, 1, size_m=(30.0, 20.0)))
    assert {(g.piece.length_m, g.piece.width_m) for way in ways for g in way.games} == {
        (30.0, 20.0)
    }
    single = next(way for way in ways if sides(way) == [(7, 6)])
    assert any("outside the published" in note for note in single.notes)


@pytest.mark.parametrize(
    ("players", "goalkeepers", "title"),
    [
        (1, 0, "Work on the ball, alone"),
        (1, 1, "Work with one goalkeeper"),
        (2, 2, "Work with two goalkeepers"),
        (2, 1, "Shooting: one player and one goalkeeper"),
        (2, 0, "One game of 1 v 1"),
        (3, 0, "One game of 2 v 1"),
        (3, 1, "One game of 1 v 1"),
        (4, 0, "One game of 2 v 2"),
        (5, 1, "One game of 2 v 2"),
        (6, 0, "One game of 3 v 3"),
    ],
)
def test_small_numbers(players: int, goalkeepers: int, title: str) -> None:
    """A handful of players still get something to do."""
    assert list_ways(need(players, goalkeepers))[0].title == title


def test_goalkeepers_without_an_end_take_turns() -> None:
    """Three goalkeepers on one game: one waits, and the coach is told."""
    ways = list_ways(need(5, 3, shapely.box(0, 0, 22, 16), goals=(), portable_goals=2))
    assert ways[0].waiting == 1
    assert any("goalkeeper waits" in note for note in ways[0].notes)


def test_goal_in_the_middle_of_a_game_is_told() -> None:
    """A fixed goal that stands inside the only possible game is named as a danger."""
    inside = GoalSpot(15, 10, 3.0, GoalKind.FIXED)
    ways = list_ways(need(6, 0, shapely.box(0, 0, 30, 20), goals=(inside,), size_m=(30.0, 20.0)))
    assert any("stands inside game 1" in note for note in ways[0].notes)


def test_age_and_words_do_not_change_the_layout() -> None:
    """A session of this kind is as good for under 14s as for under 13s."""
    assert list_ways(need(14, 1, age=14)) == list_ways(need(14, 1, age=13))


def test_ground_too_small_gives_no_way() -> None:
    """Nothing is offered on a strip, on a doormat or on no ground."""
    for ground in (SLIVER, shapely.box(0, 0, 2, 2), Polygon()):
        assert list_ways(need(14, 1, ground, goals=())) == ()


def test_without_bands_there_is_still_one_game() -> None:
    """With nothing published to go by the largest game is offered."""
    ways = list_ways(need(14, 1, bands=()))
    assert [sides(way) for way in ways] == [[(7, 6)]]


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"players": 0}, "Give 1 to 60 players, not 0"),
        ({"players": 61}, "Give 1 to 60 players, not 61"),
        ({"goalkeepers": 15}, "15 goalkeepers cannot be among 14 players"),
        ({"goalkeepers": -1}, "-1 goalkeepers"),
        ({"portable_goals": -1}, "0 or more portable goals"),
        ({"target_goals": -1}, "0 or more small target goals"),
        ({"turn_minutes": 0}, "1 minute or more"),
        ({"gap_m": -1.0}, "gap_m"),
        ({"size_m": (0.0, 5.0)}, "length_m"),
        ({"goals": (GoalSpot(0, 0, -1.0, GoalKind.FIXED),)}, "each goal"),
    ],
)
def test_questions_that_cannot_be_meant(change: dict[str, object], words: str) -> None:
    """A number that cannot be used is refused with words that say which."""
    with pytest.raises(ValueError, match=words):
        list_ways(replace(need(14, 1), **change))  # type: ignore[arg-type]


@given(
    st.integers(1, 60),
    st.integers(0, 6),
    st.integers(0, 6),
    st.sampled_from([*AWKWARD.values(), THIRD, PITCH, L_SHAPE]),
    st.sampled_from([(), (GOAL,), (GOAL, FAR_GOAL)]),
    st.sampled_from([None, (20.0, 15.0)]),
    st.integers(0, 7),
)
@settings(max_examples=30, deadline=None)
def test_every_way_adds_up(
    players: int,
    goalkeepers: int,
    portable: int,
    ground: Polygon,
    goals: tuple[GoalSpot, ...],
    size: tuple[float, float] | None,
    targets: int,
) -> None:
    """Everybody is in a game, waiting or keeping goal; games lie on the ground and apart."""
    goalkeepers = min(goalkeepers, players)
    ask = SessionNeed(
        ground, players, goalkeepers, 13, goals, portable, size, BANDS, target_goals=targets
    )
    ways = list_ways(ask)
    assert len(ways) <= MOST_WAYS
    for way in ways:
        if not way.games:
            assert players - goalkeepers < 2
            continue
        pieces = [game.piece for game in way.games]
        assert fault_in_layout(pieces, ground, ask.gap_m) is None
        playing = sum(game.side_a + game.side_b for game in way.games)
        kept = sum(end.goalkeeper for game in way.games for end in game.ends)
        assert playing + kept + way.waiting == players
        assert all(0 <= game.side_a - game.side_b <= 1 for game in way.games)
        carried = kinds(way).count(EndKind.PORTABLE_GOAL)
        assert carried <= portable
        assert kinds(way).count(EndKind.TARGET_GOAL) <= targets
        assert kinds(way).count(EndKind.FIXED_GOAL) <= len(goals)
        assert (way.rotation is None) == (playing == players - goalkeepers)


def test_goal_a_little_outside_the_usable_ground_is_still_used() -> None:
    """A goal on the line of ground that begins a metre further in serves a game's end."""
    ground = shapely.box(1, 1, 33, 63)
    best = list_ways(need(13, 1, ground))[0]
    assert EndKind.FIXED_GOAL in kinds(best)
    assert fault_in_layout([game.piece for game in best.games], ground, 3.0) is None


def test_fixed_goal_on_a_turned_pitch() -> None:
    """On ground that lies askew the goal at the middle of its edge is used all the same."""
    ground = shapely.affinity.rotate(THIRD, 30, origin=(0, 0))
    spot = shapely.affinity.rotate(shapely.Point(0, 32), 30, origin=(0, 0))
    goal = GoalSpot(spot.x, spot.y, 7.32, GoalKind.FIXED)
    best = list_ways(need(13, 1, ground, goals=(goal,)))[0]
    assert sides(best) == [(3, 3), (3, 3)]
    assert EndKind.FIXED_GOAL in kinds(best)


@pytest.mark.parametrize("in_millimetres", [False, True])
@pytest.mark.parametrize(
    ("size", "players", "goalkeepers", "goals"),
    [
        ((100 / 3, 64.0), 14, 1, [(0, 32)]),
        ((33.0, 18.0), 9, 1, [(16.5, 0)]),
        ((60.0, 40.0), 13, 0, []),
        ((100.0, 64.0), 22, 2, [(0, 32), (100, 32)]),
        ((50.0, 50.0), 10, 1, [(50, 20)]),
    ],
)
def test_a_turned_rectangle_has_the_same_ways(
    size: tuple[float, float],
    players: int,
    goalkeepers: int,
    goals: list[tuple[float, float]],
    *,
    in_millimetres: bool,
) -> None:
    """However a rectangle lies, its ways have the same titles in the same order, on its ground."""
    titles = set()
    for angle_deg in (0, 90, 180, 270, 7.3, 33.1, 45, 87.3, 113.9, -139.3, -168.9):
        turned = shapely.affinity.rotate(shapely.box(0, 0, *size), angle_deg, origin=(5, 9))
        spots = [
            shapely.affinity.rotate(shapely.Point(spot), angle_deg, origin=(5, 9)) for spot in goals
        ]
        if in_millimetres:
            turned = Polygon([(round(x, 3), round(y, 3)) for x, y in turned.exterior.coords])
            spots = [shapely.Point(round(spot.x, 3), round(spot.y, 3)) for spot in spots]
        standing = tuple(GoalSpot(spot.x, spot.y, 7.32, GoalKind.FIXED) for spot in spots)
        ways = list_ways(need(players, goalkeepers, turned, goals=standing))
        titles.add(tuple(way.title for way in ways))
        for way in ways:
            assert fault_in_layout([game.piece for game in way.games], turned, 2.99) is None
    assert len(titles) == 1


def test_games_on_an_l_shape_stand_round_its_goal() -> None:
    """On an L-shape with a goal at its end the games keep apart and one has the goal."""
    goal = GoalSpot(60, 15, 7.32, GoalKind.FIXED)
    best = list_ways(need(17, 1, L_SHAPE, goals=(goal,)))[0]
    assert sides(best) == [(4, 4), (4, 4)]
    assert EndKind.FIXED_GOAL in kinds(best)
    assert fault_in_layout([game.piece for game in best.games], L_SHAPE, 3.0) is None


def test_same_question_same_answer() -> None:
    """A coach who asks twice gets the same ways in the same order."""
    code = (
        "from tests.fitting.games.test_sessions import *; "
        "print(list_ways(need(19, 2, L_SHAPE, goals=(GOAL,), portable_goals=2)))"
    )
    first = said_by(code, 1)
    assert first.count("Way(") > 1
    assert said_by(code, 2) == first


@given(
    st.integers(2, 40),
    st.integers(0, 3),
    st.sampled_from([*AWKWARD.values(), THIRD, PITCH]),
    st.sampled_from([(), (GOAL,), (GOAL, FAR_GOAL)]),
    st.sampled_from([1, 4, 7]),
)
@settings(max_examples=25, deadline=None)
def test_fewer_ways_are_the_first_of_all(
    players: int, goalkeepers: int, ground: Polygon, goals: tuple[GoalSpot, ...], most: int
) -> None:
    """Asked for a few ways, whatever is not laid to save time would not have been among them."""
    ask = SessionNeed(ground, players, min(goalkeepers, players), 13, goals, 2, None, BANDS)
    assert list_ways(ask, most=most) == list_ways(ask)[:most]


def test_most_players_and_rugby_sides() -> None:
    """Sixty players find ways on a pitch; thirty may play fifteen a side."""
    assert list_ways(need(60, 4, PITCH, bands=BANDS))
    ways = list_ways(need(30, 0, PITCH, goals=(), bands=BANDS))
    assert [(15, 15)] in [sides(way) for way in ways]
