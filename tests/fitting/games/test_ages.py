"""Games for children: sides and ground as in the matches of their age, in the season asked for."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
import shapely

from clubplanner.fitting import SessionNeed, Way, list_ways, match_of_age
from tests.fitting.shapes import SEASON_25, SEASON_26, read_bands, read_formats

if TYPE_CHECKING:
    from datetime import date

HALF = shapely.box(0, 0, 50, 64)


def ways(
    players: int,
    age: int | None,
    ground: shapely.Polygon = HALF,
    on: date = SEASON_26,
    keepers: int = 0,
) -> tuple[Way, ...]:
    """List the ways of an age group on bare ground."""
    match = match_of_age((), read_formats(), age, on=on)
    return list_ways(SessionNeed(ground, players, keepers, age, bands=read_bands(), match=match))


def sides(way: Way) -> list[tuple[int, int]]:
    """Return the sides of each game, larger games first."""
    return sorted(((game.side_a, game.side_b) for game in way.games), reverse=True)


@pytest.mark.parametrize(("keepers", "expected"), [(1, [(4, 4), (3, 3)]), (0, [(4, 4), (4, 3)])])
def test_small_sides_come_before_equal_games_for_children(
    keepers: int, expected: list[tuple[int, int]]
) -> None:
    """Fifteen ten-year-olds on 25 × 64 m play fours and threes before one crowded seven a side."""
    found = ways(15, 10, shapely.box(0, 0, 25, 64), keepers=keepers)
    assert sides(found[0]) == expected


def test_equal_games_come_first_for_adults() -> None:
    """On a half fourteen adults play one level game, fourteen ten-year-olds small ones."""
    assert sides(ways(14, None)[0]) == [(7, 7)]
    assert sides(ways(14, 10)[0]) == [(4, 4), (3, 3)]


@pytest.mark.parametrize(
    ("age", "on", "most_m2"),
    [
        # The FA: 3v3 on 20 × 15 m at most from 2026-27, 5v5 on 40 × 30 yd before; England
        # Football, How to play and manage 3v3 games, 2025; FA Handbook 2016-17 p. 556.
        (7, SEASON_26, 20 * 15 / 6),
        (7, SEASON_25, 40 * 30 * 0.9144**2 / 10),
        (10, SEASON_26, 60 * 40 * 0.9144**2 / 14),
        (10, SEASON_25, 60 * 40 * 0.9144**2 / 14),
        (12, SEASON_26, 80 * 50 * 0.9144**2 / 18),
    ],
)
def test_no_child_has_more_ground_than_in_a_match(age: int, on: date, most_m2: float) -> None:
    """However much ground there is, no way gives each more than a match of the age does."""
    for players in (2, 4, 6, 8, 13, 18):
        for way in ways(players, age, on=on):
            assert way.m2_per_outfield_player <= most_m2 * 1.01, way.title


def test_eight_seven_year_olds() -> None:
    """From 2026-27 they play twos on small ground; a year before fours, never on 131 m² each."""
    assert sides(ways(8, 7)[0]) == [(2, 2), (2, 2)]
    before = ways(8, 7, on=SEASON_25)[0]
    assert sides(before) == [(4, 4)]
    assert before.m2_per_outfield_player <= 100.4
    assert all(way.m2_per_outfield_player < 131 for way in ways(8, 7))


def test_no_side_is_larger_than_in_a_match_where_that_can_be_had() -> None:
    """Twelve under 7s play threes, not sixes; twelve under 10s may play no larger than sevens."""
    assert sides(ways(12, 7)[0]) == [(3, 3), (3, 3)]
    for age, most in ((7, 3), (9, 5), (11, 7), (13, 9)):
        best = ways(18, age)[0]
        assert max(max(pair) for pair in sides(best)) <= most


def test_a_way_for_children_says_what_a_match_of_their_age_has() -> None:
    """The notes name the match of the age and its ground for each, with whose it is."""
    notes = " ".join(ways(8, 7)[0].notes)
    assert "A match of their age, 3v3 of The FA, has 50 m² for each player" in notes
    assert "A match of their age" not in " ".join(ways(8, None)[0].notes)


def test_a_game_kept_small_for_its_age_is_not_called_all_the_ground() -> None:
    """Where the age bounds the largest game its title says so; on small ground it does not."""
    titles = [way.title for way in ways(8, 13)]
    assert any("with as much ground for each as in a match of their age" in t for t in titles)
    assert not any("as much ground as there is" in title for title in titles)
    small = [way.title for way in ways(8, 13, shapely.box(0, 0, 28, 24))]
    assert any("as much ground as there is" in title for title in small)


def test_what_a_coach_asks_for_is_laid_all_the_same() -> None:
    """A size that the coach gave is laid, however large."""
    match = match_of_age((), read_formats(), 7, on=SEASON_26)
    need = SessionNeed(HALF, 8, 0, 7, bands=read_bands(), match=match, size_m=(40.0, 30.0))
    best = list_ways(need)[0]
    assert {(game.piece.length_m, game.piece.width_m) for game in best.games} == {(40.0, 30.0)}
