"""What one coach changes when a game is too hard or too easy. Common practice, no source."""

from __future__ import annotations

import re

import pytest
import shapely

from clubplanner.fitting import SessionNeed, adjust, list_ways, match_of_age
from clubplanner.fitting.setting_out.run_off import edges_of
from tests.fitting.shapes import SEASON_26, read_bands, read_formats

SIZE = re.compile(r"space, ([\d.]+) × ([\d.]+) m for each game \((\d+) m² each\)")


def lines(
    players: int, ground: tuple[float, float] = (50, 64), **rest: object
) -> tuple[str, str, float]:
    """Return both lines for the best way, and its ground for each."""
    need = SessionNeed(shapely.box(0, 0, *ground), players, 0, None, bands=read_bands(), **rest)  # type: ignore[arg-type]
    way = list_ways(need)[0]
    found = adjust(need, way)
    assert found is not None
    piece = way.games[0].piece
    return found.too_hard, found.too_easy, piece.area_m2


def test_space_and_numbers_come_from_the_way() -> None:
    """Twelve in threes: two who change sides when too hard, one more to defend when easy."""
    hard, easy, _area = lines(12)
    assert hard.startswith("Too hard? ")
    assert "2 v 2 and two who play for whichever side has the ball" in hard
    assert easy.startswith("Too easy? Less space, ")
    assert "defend with one more, 2 v 4" in easy


def test_more_space_is_offered_only_where_there_is_room() -> None:
    """A larger size is one that the ground holds for all games, with the run-off; else none."""
    hard, _easy, area = lines(6, size_m=(20.0, 15.0))
    found = SIZE.search(hard)
    assert found is not None
    length, width, each = map(float, found.groups())
    assert length * width > 1.1 * area
    assert each == pytest.approx(length * width / 6, abs=0.51)
    tight, _easy, _area = lines(6, (21, 16), size_m=(20.0, 15.0))
    assert "Larger games do not suit this ground or age" in tight
    ground = shapely.box(0, 0, 26, 21)
    free, _easy, _area = lines(6, (26, 21), size_m=(20.0, 15.0))
    kept, _easy, _area = lines(
        6, (26, 21), size_m=(20.0, 15.0), margin_m=3.0, hazards=edges_of(ground)
    )
    assert SIZE.search(free)
    assert "Larger games do not suit this ground or age" in kept


def test_less_space_is_smaller_and_still_a_game() -> None:
    """The smaller size is published, or shorter sides where none is; never less than a game."""
    for players in (4, 6, 8, 13, 18):
        _hard, easy, area = lines(players)
        found = SIZE.search(easy)
        assert found is not None
        assert float(found[1]) * float(found[2]) < area / 1.1
        assert float(found[3]) >= 25
    tightest, easy = lines(2, size_m=(10.0, 5.0))[:2]
    assert SIZE.search(easy) is None
    assert "the coach plays for whoever has the ball" in tightest


def test_an_extra_player_is_the_one_who_changes_sides() -> None:
    """Where a side has one more, that one plays for whichever side has the ball."""
    hard, easy, _area = lines(7)
    assert "and one who plays for whichever side has the ball" in hard
    assert "let the larger side defend, 3 v 4" in easy


def test_children_are_not_spread_out_by_more_space() -> None:
    """More space stays within that of a match of the age."""
    match = match_of_age((), read_formats(), 7, on=SEASON_26)
    need = SessionNeed(shapely.box(0, 0, 50, 64), 12, 0, 7, bands=read_bands(), match=match)
    for way in list_ways(need):
        found = adjust(need, way)
        assert found is not None
        size = SIZE.search(found.too_hard)
        assert size is None or float(size[3]) <= 50.5


def test_work_without_a_game_is_not_adjusted() -> None:
    """One player alone has nothing to make harder."""
    need = SessionNeed(shapely.box(0, 0, 50, 64), 1, 0, None, bands=read_bands())
    assert adjust(need, list_ways(need)[0]) is None
