"""Sizes of games and practice areas, run-off and halls, against published figures.

Each figure was typed from the source that stands beside it, not from the tables that ship.
"""

from __future__ import annotations

import pytest
import shapely

from clubplanner.fitting import (
    SessionNeed,
    adults_needed,
    find_format,
    fit_pieces,
    fits_format,
    match_of_age,
)
from clubplanner.fitting.games.sizes import has_published_area, published_m2_each
from clubplanner.services.coach.fits.format_words import formats_on
from tests.builders import A_WEDNESDAY
from tests.fitting.shapes import SEASON_25, SEASON_26, read_bands, read_formats

YARD, FOOT = 0.9144, 0.3048
NEED = SessionNeed(shapely.box(0, 0, 50, 64), 10, 0, None, bands=read_bands())

SIZES = [
    # The FA, Goalpost and pitch sizes, FA Handbook 2016-17 p. 556 (read): yards.
    ("5v5", 40 * YARD, 30 * YARD, 5),
    ("7v7", 60 * YARD, 40 * YARD, 7),
    ("9v9", 80 * YARD, 50 * YARD, 9),
    ("11v11-u14", 90 * YARD, 55 * YARD, 11),
    ("11v11-u16", 100 * YARD, 60 * YARD, 11),
    ("11v11", 110 * YARD, 70 * YARD, 11),
    # England Football, How to play and manage 3v3 games, 2025 (read): largest pitch.
    ("3v3", 20, 15, 3),
    # FA guidance on full-size artificial turf (secondary).
    ("11v11-3g", 100, 64, 11),
    # FIFA Futsal Laws of the Game, 2010 and later (secondary): 38-42 × 20-25 and 25-42 × 16-25 m.
    ("futsal", 40, 20, 5),
    ("futsal-least", 25, 16, 5),
    # FIH Rules of Hockey; World Rugby Law 1; FIBA Official Basketball Rules art. 2 (read).
    ("hockey", 91.40, 55.00, 11),
    ("rugby-union", 100, 70, 15),
    ("basketball", 28, 15, 5),
    # Western Australian Government, Sports Dimensions Guide (read).
    ("handball", 40, 20, 7),
    ("rugby-league", 100, 68, 13),
    ("touch", 70, 50, 6),
    ("gaelic", 145, 90, 15),
    ("netball", 30.5, 15.25, 7),
    ("volleyball", 18, 9, 6),
    # World Lacrosse, Unified field dimensions and markings (read).
    ("lacrosse", 110, 60, 10),
    # Sport and Recreation South Africa, Norms and Standards vol. 2 (quoted): 36-40 × 18-20 m.
    ("korfball", 40, 20, 8),
    # The World Games 2017, About floorball (quoted): 40 × 20 m.
    ("floorball", 40, 20, 6),
    # FIBA, 3x3 Rules of the Game, January 2016, art. 1 (quoted): 15 × 11 m.
    ("basketball-3x3", 15, 11, 3),
    # US Soccer, Player Development Initiatives, as state associations quote them: yards.
    ("us-4v4", 35 * YARD, 25 * YARD, 4),
    ("us-7v7", 65 * YARD, 45 * YARD, 7),
    ("us-9v9", 80 * YARD, 55 * YARD, 9),
    # DFB, FAQ zu neuen Spielformen im Kinderfußball (quoted): 3v3 to 28 × 22 m, 5v5 40 × 22-25 m.
    ("dfb-3v3", 28, 22, 3),
    ("dfb-5v5", 40, 25, 5),
    # German regional associations (quoted): 7v7 55 × 35 m, 9v9 70-80 × 50-60 m.
    ("dfb-7v7", 55, 35, 7),
    ("dfb-9v9", 70, 50, 9),
]


@pytest.mark.parametrize(("code", "length_m", "width_m", "a_side"), SIZES)
def test_sizes_of_games(code: str, length_m: float, width_m: float, a_side: int) -> None:
    """Each form of the game has its published size; the source stands beside each."""
    found = [game for game in read_formats() if game.code == code]
    assert found
    for game in found:
        assert (game.length_m, game.width_m) == pytest.approx((length_m, width_m), abs=1e-9)
        assert game.players_a_side == a_side


def test_every_shipped_size_is_checked() -> None:
    """No row of the table stands without a check here."""
    assert {game.code for game in read_formats()} == {code for code, *_rest in SIZES}


@pytest.mark.parametrize(
    ("code", "width_m", "height_m"),
    [
        # The FA, FA Handbook 2016-17 p. 556 (read); England Football, 3v3, 2025 (read): feet.
        ("5v5", 12 * FOOT, 6 * FOOT),
        ("7v7", 12 * FOOT, 6 * FOOT),
        ("9v9", 16 * FOOT, 7 * FOOT),
        ("11v11-u14", 21 * FOOT, 7 * FOOT),
        ("11v11-u16", 24 * FOOT, 8 * FOOT),
        ("3v3", 4 * FOOT, 2.5 * FOOT),
        # England Football, A closer look at 3v3 (read): the same goal is 120 × 75 cm.
        ("3v3", 1.20, 0.75),
        # IFAB Laws of the Game, Law 1 (secondary).
        ("11v11", 7.32, 2.44),
        # FIFA Futsal Laws (secondary); Western Australian Sports Dimensions Guide (read).
        ("futsal", 3, 2),
        ("handball", 3, 2),
        # US Soccer, small-sided chart, as quoted: feet.
        ("us-4v4", 6 * FOOT, 4 * FOOT),
        ("us-7v7", 18.5 * FOOT, 6.5 * FOOT),
        ("us-9v9", 21 * FOOT, 7 * FOOT),
        # German regional associations, as quoted: 5 × 2 m.
        ("dfb-7v7", 5, 2),
        ("dfb-9v9", 5, 2),
    ],
)
def test_sizes_of_goals(code: str, width_m: float, height_m: float) -> None:
    """Goals have their published size, to two centimetres where it was published rounded."""
    for game in read_formats():
        if game.code == code:
            assert game.goal_width_m == pytest.approx(width_m, abs=0.02)
            assert game.goal_height_m == pytest.approx(height_m, abs=0.02)


@pytest.mark.parametrize(
    ("age", "before", "since"),
    [
        # Before: The FA, FA Handbook 2016-17 p. 556. Since 2026-27: England Football, What is a
        # format in football (both read).
        (7, "5v5", "3v3"),
        (8, "5v5", "5v5"),
        (9, "7v7", "5v5"),
        (10, "7v7", "7v7"),
        (11, "9v9", "7v7"),
        (12, "9v9", "9v9"),
        (13, "11v11-u14", "9v9"),
        (14, "11v11-u14", "11v11-u14"),
        (15, "11v11-u16", "11v11-u16"),
        (16, "11v11-u16", "11v11-u16"),
        (17, "11v11", "11v11"),
    ],
)
def test_formats_by_age_and_season(age: int, before: str, since: str) -> None:
    """Each age group plays the format that its season gives it."""
    found = [find_format(read_formats(), age, on=day) for day in (SEASON_25, SEASON_26)]
    assert [game.code for game in found if game is not None] == [before, since]
    match = match_of_age((), read_formats(), age, on=SEASON_26)
    assert match == found[1]


@pytest.mark.parametrize(
    ("age", "yards", "with_run_off"),
    [
        # The FA, Goalpost and pitch sizes, FA Handbook 2016-17 p. 556 (read).
        (8, (40, 30), (46, 36)),
        (10, (60, 40), (66, 46)),
        (12, (80, 50), (86, 56)),
        (14, (90, 55), (96, 61)),
        (16, (100, 60), (106, 66)),
        (18, (110, 70), (116, 76)),
    ],
)
@pytest.mark.parametrize(
    ("is_outer", "less_m", "expected"),
    [
        (True, 0.0, (True, True)),
        (True, 0.01, (True, False)),
        (False, 0.0, (True, False)),
        (False, 0.01, (False, False)),
    ],
)
def test_pitches_with_their_run_off(
    age: int,
    yards: tuple[int, int],
    with_run_off: tuple[int, int],
    is_outer: bool,
    less_m: float,
    expected: tuple[bool, bool],
) -> None:
    """A ground of the published outer size holds pitch and run-off; a centimetre less does not."""
    length, width = (side * YARD for side in (with_run_off if is_outer else yards))
    ground = shapely.box(0, 0, length - less_m + 1e-9, width + 1e-9)
    game = find_format(read_formats(), age, on=SEASON_26)
    assert game is not None
    fit = next(
        item for item in formats_on((), age, ground, A_WEDNESDAY).of_age if item.game == game
    )
    assert (fit.fits, bool(fit.has_run_off)) == expected


@pytest.mark.parametrize(
    ("side", "sizes"),
    [
        # Owen, Twist and Ford 2004, Insight 7(2) 50-53 (read).
        (1, ((5, 10), (10, 15), (15, 20))),
        (2, ((10, 15), (15, 20), (20, 25))),
        (3, ((15, 20), (20, 25), (25, 30))),
        (4, ((20, 25), (25, 30), (30, 35))),
        (5, ((25, 30), (30, 35), (35, 40))),
    ],
)
def test_practice_ground_for_each_player(
    side: int, sizes: tuple[tuple[int, int], tuple[int, int], tuple[int, int]]
) -> None:
    """The least and most ground for each are those of the smallest and the largest area."""
    areas = [width * length for width, length in sizes]
    assert published_m2_each(NEED, side) == pytest.approx(
        (areas[0] / (2 * side), areas[2] / (2 * side))
    )
    for area in areas:
        assert has_published_area(NEED, (side, side), area)
    assert not has_published_area(NEED, (side, side), 0.95 * areas[0])
    assert not has_published_area(NEED, (side, side), 1.05 * areas[2])


def test_four_small_pitches_on_a_mini_pitch() -> None:
    """Up to four pitches for 3v3 lie on one for 5v5.

    Source: England Football, A closer look at 3v3 (read); 15 × 10 m recommended, 40 × 30 yd.
    """
    mini = shapely.box(0, 0, 40 * YARD, 30 * YARD)
    assert fit_pieces(mini, 15, 10, gap_m=3.0, enough=4).count >= 4


@pytest.mark.parametrize(("less_m", "count"), [(0.0, 2), (0.01, 1)])
def test_two_netball_courts_side_by_side(less_m: float, count: int) -> None:
    """Two courts need 3.05 m round them and 3.65 m between; a centimetre less holds one.

    Source: Western Australian Government, Sports Dimensions Guide, netball (read).
    """
    ground = shapely.box(0, 0, 30.5 + 2 * 3.05, 2 * 15.25 + 3.65 + 2 * 3.05 - less_m)
    assert fit_pieces(ground, 30.5, 15.25, gap_m=3.65, margin_m=3.05).count == count


@pytest.mark.parametrize(
    ("code", "outer"),
    [
        # FIBA art. 2 (read): 32 × 19 m. FA guidance on artificial turf (secondary): 106 × 70 m.
        ("basketball", (32, 19)),
        ("11v11-3g", (106, 70)),
        # Western Australian Sports Dimensions Guide (read): free zone of 3 m; 3.05 m.
        ("volleyball", (24, 15)),
        ("netball", (36.6, 21.35)),
    ],
)
def test_courts_with_clear_ground(code: str, outer: tuple[float, float]) -> None:
    """Pitch and run-off add up to what is published for both, and fit there exactly."""
    game = next(item for item in read_formats() if item.code == code)
    assert game.run_off_m is not None
    size = (game.length_m + 2 * game.run_off_m, game.width_m + 2 * game.run_off_m)
    assert size == pytest.approx(outer)
    assert fits_format(shapely.box(0, 0, *outer), game)


@pytest.mark.parametrize(
    ("code", "fits"),
    [
        ("basketball", True),
        ("volleyball", True),
        ("netball", True),
        ("futsal-least", True),
        ("basketball-3x3", True),
        ("futsal", False),
        ("handball", False),
        ("korfball", False),
        ("floorball", False),
    ],
)
def test_a_hall_of_four_badminton_courts(code: str, fits: bool) -> None:
    """A hall of 33 × 18 m holds these courts by their lines, and not those of 40 × 20 m.

    Source of the hall: Sport England, Comparative Sizes 2011 (read).
    """
    game = next(item for item in read_formats() if item.code == code)
    assert fits_format(shapely.box(0, 0, 33, 18), game) is fits


@pytest.mark.parametrize(
    ("age", "each"),
    [(0, 3), (1, 3), (2, 3), (3, 4), (4, 6), (8, 6), (9, 8), (12, 8), (13, 10), (18, 10)],
)
def test_adults_for_children_by_age(age: int, each: int) -> None:
    """One adult for so many, never fewer than two (NSPCC/CPSU supervision ratios, read)."""
    assert adults_needed(age, 3 * each) == 3
    assert adults_needed(age, 3 * each + 1) == 4
    assert adults_needed(age, 1) == 2
