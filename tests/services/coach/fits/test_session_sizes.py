"""Tests of what fits tonight, as it is shown: words and drawings agree, and stay on the ground."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from typing import Any

import pytest
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st
from shapely import Polygon

from clubplanner.domain.ground.grounds import Area, GoalKind, Pitch
from clubplanner.domain.ground.plans import GoalPlan
from clubplanner.errors import RefusedError
from clubplanner.geometry.shapes import as_polygon, rectangle
from clubplanner.outputs.drawings.plans.plan_areas import OWN_STROKE
from clubplanner.services.coach.fits.fit_places import FitPlace, FitWish
from clubplanner.services.coach.fits.remembered import ANSWERS
from clubplanner.services.coach.fits.session_sizes import (
    FitShown,
    WayShown,
    draw_fit,
    see_what_fits,
)
from tests.builders import A_WEDNESDAY, FULL_SIZE_GOALS, make_pitch
from tests.outputs.example_drawings import read_drawing

L_HALL = Polygon([(0, 0), (24, 0), (24, 10), (14, 10), (14, 18), (0, 18)])


def fits(
    players: int = 14,
    goalkeepers: int = 1,
    *,
    pitch: Pitch | None = None,
    area: str = "third-1",
    size: tuple[float | None, float | None] = (None, None),
    age: int | None = 12,
    margin_m: float | None = None,
    neighbours: tuple[Polygon, ...] = (),
) -> FitShown:
    """Ask what fits on a third of 100 × 64 m, or on other ground."""
    ground = pitch or make_pitch(width_m=64.0)
    wish = FitWish(players, goalkeepers, size[0], size[1], age, margin_m=margin_m)
    place = FitPlace(ground, as_stored(ground.area(area)), A_WEDNESDAY, neighbours=neighbours)
    return see_what_fits(place, wish)


def as_stored(area: Area) -> Area:
    """Return an area as the store gives it back: its polygon without a lasting grid."""
    return replace(area, polygon=as_polygon(shapely.from_wkb(shapely.to_wkb(area.polygon))))


def best(players: int, goalkeepers: int, **changes: Any) -> WayShown:
    """Return the first way to play."""
    return fits(players, goalkeepers, **changes).ways[0]


# The check values of a third of a 100 × 64 m pitch are common practice, no source.


def test_fourteen_with_a_goalkeeper_play_two_games_of_three_a_side() -> None:
    """Thirteen outfield players: two games of 3 v 3, one of them 4 v 3, nobody waits."""
    way = best(14, 1)
    assert way.title == "Two games of 3 v 3, one of them 4 v 3"
    assert way.waiting == ""
    assert "One extra player joins a side" in way.extra
    assert re.match(r"4 v 3 on ", way.sizes[0])
    assert "with a goalkeeper" in " ".join(way.notes)
    words = " ".join(read_drawing(way.drawing).words())
    assert "Game 1: 4 v 3 + 1 GK" in words, "games by number"
    assert "Game 2: 3 v 3" in words
    assert "GK A" in words, "where the goalkeeper stands"


def test_thirteen_with_a_goalkeeper_play_exact_threes() -> None:
    """Twelve outfield players: two equal games, nobody over."""
    way = best(13, 1)
    assert (way.title, way.extra, way.waiting) == ("Two games of 3 v 3", "", "")
    assert len(way.sizes) == 1
    assert way.sizes[0].startswith("2 × 3 v 3 on ")


def test_a_second_goalkeeper_gets_the_second_game_a_goal() -> None:
    """With a goal to carry, each of two goalkeepers has a goal of their own."""
    pitch = make_pitch(width_m=64.0, portable_goals=2)
    way = best(14, 2, pitch=pitch)
    assert way.title == "Two games of 3 v 3"
    headings = read_drawing(way.drawing).words()
    assert " ".join(headings).count("+ 1 GK") == 2 or "+ 2 GK" in " ".join(headings)
    assert "no goal" not in " ".join(way.notes)


def test_more_players_play_fours() -> None:
    """Sixteen outfield players: two games of 4 v 4."""
    assert best(17, 1).title == "Two games of 4 v 4"


def test_where_one_game_fits_sides_wait_and_rotate() -> None:
    """On ground for a single game of threes two sides play while others wait their turn."""
    pitch = make_pitch(length_m=20, width_m=15, cuts=(), goals=())
    shown = fits(12, 0, pitch=pitch, area="whole")
    waiting = [way for way in shown.ways if way.waiting]
    assert waiting
    assert any("One game of 3 v 3, two sides wait in turn" in way.title for way in waiting)
    assert all(re.match(r"\d+ wait and rotate\.", way.waiting) for way in waiting)


def test_without_any_goal_games_have_end_zones() -> None:
    """Where no goal stands and none can be brought, sides play to strips at the ends."""
    pitch = make_pitch(width_m=64.0, goals=())
    way = best(12, 0, pitch=pitch)
    assert "an end zone at each end" in " ".join(way.notes)
    dashed = [p for p in read_drawing(way.drawing).paths if is_end_zone(p.attributes)]
    assert len(dashed) == 4
    with_goals = best(12, 0, pitch=make_pitch(width_m=64.0, goals=(), portable_goals=4))
    assert "end zone" not in " ".join(with_goals.notes)


def is_end_zone(attributes: dict[str, str]) -> bool:
    """Tell whether a path is the outline of an end zone."""
    return attributes.get("stroke-dasharray") == "3 2" and attributes["stroke-width"] == "0.8"


def pieces_on(drawing: str) -> tuple[list[Polygon], Polygon, float]:
    """Return a drawing's games, its ground, and units a metre for ground 100/3 m long."""
    read = read_drawing(drawing)
    ground = next(path for path in read.paths if path.stroke_width == OWN_STROKE).polygon
    games = [p.polygon for p in read.paths if p.attributes.get("fill-opacity") == "0.8"]
    x0, _, x1, _ = ground.bounds
    return games, ground, (x1 - x0) / (100 / 3)


def extents(game: Polygon, scale: float) -> tuple[float, float]:
    """Return how far a drawn game reaches along and across, metres."""
    x0, y0, x1, y1 = game.bounds
    return (x1 - x0) / scale, (y1 - y0) / scale


@settings(max_examples=8)
@given(st.integers(2, 40), st.integers(0, 4))
@example(2, 0)
@example(40, 4)
def test_games_are_drawn_to_scale_apart_and_on_the_ground(players: int, keepers: int) -> None:
    """The games of every way lie on the ground, do not overlap, and have the size they name."""
    keepers = min(keepers, players)
    for way in fits(players, keepers).ways:
        if not way.drawing:
            continue
        games, ground, scale = pieces_on(way.drawing)
        assert games
        assert all(shapely.buffer(ground, 0.3).covers(game) for game in games)
        for n, game in enumerate(games):
            assert all(game.intersection(other).area < 1 for other in games[n + 1 :])
        named = [
            (float(a), float(b))
            for a, b in re.findall(r"on ([\d.]+) × ([\d.]+) m", "; ".join(way.sizes))
        ]
        assert named
        drawn = [sorted(extents(game, scale)) for game in games]
        for size in named:
            assert any(abs(d[0] - min(size)) < 0.15 and abs(d[1] - max(size)) < 0.15 for d in drawn)


def test_spare_ground_is_told_where_there_is_some() -> None:
    """Beside small games there is room for a second coach, and none beside the largest game."""
    shown = fits(8, 0, area="half-1")
    assert re.match(
        r"Spare ground for a warm-up or a second coach: \d\d[\d.]* × [\d.]+ m", shown.ways[0].spare
    )
    small = fits(12, 0, pitch=make_pitch(length_m=20, width_m=15, cuts=(), goals=()), area="whole")
    assert small.ways[-1].spare == ""


def test_a_smaller_part_and_a_hall_are_compared() -> None:
    """On a half the next smaller part and the largest hall are among the other nights."""
    pitch = make_pitch(width_m=64.0)
    halls = [
        make_pitch(
            name, length_m=length, width_m=18.0, cuts=(), goals=(), surface="indoor", is_indoor=True
        )
        for name, length in (("Small hall", 20.0), ("Mill hall", 33.0))
    ]
    wish = FitWish(14, 1, None, None, 12)
    shown = see_what_fits(
        FitPlace(pitch, as_stored(pitch.area("half-1")), A_WEDNESDAY, (), halls), wish
    )
    words = {other.occasion: " ".join(other.lines) for other in shown.others}
    (part,) = (key for key in words if key.startswith("On "))
    assert re.fullmatch(r"On .+ only, 67 % of this ground", part)
    assert "move the cones" in words["In Mill hall instead"]
    indoors = see_what_fits(FitPlace(halls[0], halls[0].areas[0], A_WEDNESDAY, (), halls), wish)
    assert not any(other.occasion.startswith("In ") for other in indoors.others)


def test_small_target_goals_are_drawn_shorter_than_goals() -> None:
    """A small target goal is a shorter line in the middle of its end."""
    pitch = make_pitch(width_m=64.0, goals=(), portable_goals=2)
    wish = FitWish(14, 2, None, None, 12, target_goals=2)
    way = see_what_fits(FitPlace(pitch, as_stored(pitch.area("third-1")), A_WEDNESDAY), wish).ways[
        0
    ]
    assert "a small target goal" in " ".join(way.notes)
    lines = [p for p in read_drawing(way.drawing).paths if p.attributes.get("stroke-width") == "5"]
    lengths = sorted(math.dist(*line.runs[0]) for line in lines)
    assert len(lengths) == 4
    assert lengths[1] < lengths[2] / 2


@pytest.mark.parametrize("name", ["1", "2", "practice", "largest"])
def test_each_drawing_can_be_had_alone(name: str) -> None:
    """A drawing by its name is the one shown with the others."""
    pitch = make_pitch(width_m=64.0)
    area = as_stored(pitch.area("third-1"))
    wish = FitWish(14, 1, 20.0, 15.0, 12)
    ANSWERS.forget()
    alone = draw_fit(FitPlace(pitch, area, A_WEDNESDAY), wish, name)
    shown = see_what_fits(FitPlace(pitch, area, A_WEDNESDAY), wish)
    assert shown.practice is not None
    assert shown.largest is not None
    drawings = {"practice": shown.practice.drawing, "largest": shown.largest.drawing}
    drawings |= {str(number): way.drawing for number, way in enumerate(shown.ways, start=1)}
    assert alone == drawings[name]
    remembered = draw_fit(FitPlace(pitch, area, A_WEDNESDAY), wish, name)
    assert remembered == drawings[name]


def test_a_drawing_that_is_not_there() -> None:
    """Without such a way, a wish, or ground there is nothing to draw; bad numbers are refused."""
    pitch = make_pitch(width_m=64.0)
    area = as_stored(pitch.area("third-1"))
    for name in ("0", "9", "practice", "best", ""):
        assert (
            draw_fit(FitPlace(pitch, area, A_WEDNESDAY), FitWish(14, 1, None, None, 12), name)
            is None
        )
    assert draw_fit(FitPlace(pitch, area, A_WEDNESDAY), FitWish(1, 1, None, None, 12), "1") is None
    covered = make_pitch(obstacles=(rectangle(0, 0, 100, 60),))
    whole = covered.area("whole")
    assert (
        draw_fit(FitPlace(covered, whole, A_WEDNESDAY), FitWish(14, 1, None, None, 12), "1") is None
    )
    with pytest.raises(RefusedError, match="players"):
        draw_fit(FitPlace(pitch, area, A_WEDNESDAY), FitWish(0, 0, None, None, 12), "1")


def test_the_largest_game_has_everybody_in_it() -> None:
    """The largest single game names both sides and the ground's own size."""
    shown = fits(14, 1, margin_m=0.0, age=None)
    assert shown.largest is not None
    assert shown.largest.sentence == (
        "7 v 6 on 64 × 33.3 m (70 × 36 yd), everybody in one game. Fits to the line: no clear "
        "ground is kept round it."
    )
    assert fits(2, 1).largest is None


@pytest.mark.parametrize(
    ("size", "sentence"),
    [
        ((30.0, 20.0), r"3 practice areas of 30 × 20 m \(33 × 22 yd\) fit, and no more"),
        ((60.0, 30.0), r"1 practice area of 60 × 30 m .* fits, and no more,"),
        ((14.0, 14.0), r"8 practice areas .* fit, and no more along the edges of the ground,"),
        ((73.0, 20.0), r"No practice area of 73 × 20 m .* fits here\."),
        ((65.0, 2.0), r"No practice area of 65 × 2 m .* fits here along the edges of the ground"),
    ],
)
def test_practice_areas_of_a_size_are_counted_and_drawn(
    size: tuple[float, float], sentence: str
) -> None:
    """As many areas of the wished size as fit edge to edge are numbered on the ground."""
    practice = fits(size=size, margin_m=0.0).practice
    assert practice is not None
    found = re.match(sentence, practice.sentence)
    assert found is not None
    if practice.drawing:
        games, _, _ = pieces_on(practice.drawing)
        assert len(games) == int(practice.sentence[0])
    else:
        assert practice.sentence.startswith("No ")
    assert fits().practice is None


def test_a_practice_area_too_small_for_a_game_is_no_game() -> None:
    """On a doormat nobody is told to play; the coach reads why, and sees how many fit."""
    shown = fits(14, 1, size=(1.0, 1.0))
    assert shown.ways == ()
    assert shown.no_game.startswith("1 × 1 m is too small for a game.")
    assert "25 m² (Owen" in shown.no_game
    assert shown.practice is not None
    assert fits(14, 1).no_game == ""


def test_ground_too_small_for_everybody_is_called_so() -> None:
    """The largest rectangle of tiny ground is not said to hold a game of everybody."""
    shown = fits(14, 1, pitch=make_pitch(length_m=12.0, width_m=8.0), area="whole")
    assert shown.largest is not None
    assert re.fullmatch(
        r"12 × 8 m .*, too small for a game of 7 v 6\. Fits to.*", shown.largest.sentence
    )


@pytest.mark.parametrize(
    ("players", "title"),
    [
        (1, "Work on the"),
        (2, "One game of 1 v 1"),
        (3, "One game of 2 v 1"),
        (60, "Five games of 3 v 3"),
    ],
)
def test_very_few_and_very_many_players(players: int, title: str) -> None:
    """One player, two, three and sixty each get a way, with words that end as sentences do."""
    way = best(players, 0)
    assert way.title.startswith(title)
    assert all(len(note) > 20 for note in way.notes)
    assert bool(way.sizes) == (players > 1)


def test_very_many_practice_areas_are_counted_only() -> None:
    """Hundreds of tiny areas are counted, and not drawn."""
    practice = fits(size=(2.0, 2.0), margin_m=0.0).practice
    assert practice is not None
    assert re.match(r"512 practice areas of 2 × 2 m .* too many to draw\.", practice.sentence)
    assert practice.drawing == ""


@pytest.mark.parametrize(
    ("players", "keepers", "size"),
    [(0, 0, (None, None)), (61, 0, (None, None)), (5, 6, (None, None)), (5, -1, (None, None))],
)
def test_numbers_that_cannot_be_meant_are_refused(
    players: int, keepers: int, size: tuple[None, None]
) -> None:
    """A number that cannot be used is named."""
    with pytest.raises(RefusedError, match=r"players|goalkeepers"):
        fits(players, keepers, size=size)


def test_ground_under_obstacles_says_so() -> None:
    """Where obstacles leave nothing the page still has its words and cautions."""
    pitch = make_pitch(obstacles=(rectangle(0, 0, 100, 60),))
    shown = fits(pitch=pitch)
    assert (shown.ways, shown.largest) == ((), None)
    assert shown.practice is not None
    assert shown.practice.sentence == "Obstacles leave no ground on this area to play on."
    assert shown.cautions


def test_games_in_an_l_shaped_hall_keep_off_its_pillar() -> None:
    """Games and the largest game lie within the hall, clear of the pillar."""
    pillar = rectangle(9.8, 8.8, 0.4, 0.4)
    pitch = make_pitch("Hall", polygon=L_HALL, cuts=(), goals=(), obstacles=(pillar,))
    shown = fits(8, 0, pitch=pitch, area="whole")
    drawings = [way.drawing for way in shown.ways if way.drawing]
    assert shown.largest is not None
    for drawing in (*drawings, shown.largest.drawing):
        read = read_drawing(drawing)
        ground = shapely.buffer(read.paths[0].polygon, 0.3)
        (post,) = read.filled("#55635d")
        games = [p.polygon for p in read.paths if p.attributes.get("fill-opacity") == "0.8"]
        assert games
        for game in games:
            assert ground.covers(game)
            assert game.distance(post.polygon) > 0.9 * 302 / 24  # a metre, drawn


def test_portable_goals_bring_their_caution() -> None:
    """Where goals can be carried the first caution is to anchor them; the last defers."""
    pitch = make_pitch(goals=(GoalPlan("both ends", 3.66, 1.83, GoalKind.PORTABLE),))
    care = fits(pitch=pitch).cautions
    assert care[0].startswith("Anchor every portable goal")
    assert "qualified person" in care[-1]
    fixed = fits(pitch=make_pitch(goals=(FULL_SIZE_GOALS,))).cautions
    assert not any("Anchor every" in caution for caution in fixed)
