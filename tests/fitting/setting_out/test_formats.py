"""Tables of game formats and practice areas."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
import shapely

from clubplanner.domain.ground.formats import STANDINGS
from clubplanner.fitting import (
    find_format,
    fits_format,
    match_of_age,
    parse_formats,
    parse_practice_bands,
)
from tests.fitting.shapes import L_SHAPE, SEASON_25, SEASON_26, read_bands, read_formats

HEADER = (
    "code,sport,body,age_from,age_to,players_a_side,length_yd,width_yd,length_m,width_m,"
    "run_off_yd,run_off_m,goal_width_ft,goal_height_ft,goal_width_m,goal_height_m,standing,"
    "source,note\n"
)
ROW = "5v5,football,The FA,7,8,5,40,30,,,3,,12,6,,,read in the source,Handbook,\n"


def test_yards_and_feet_become_metres_exactly() -> None:
    """Forty by thirty yards and a goal of twelve by six feet come out in exact metres."""
    (found,) = parse_formats(HEADER + ROW)
    assert (found.length_m, found.width_m) == pytest.approx((36.576, 27.432), abs=1e-12)
    assert (found.goal_width_m, found.goal_height_m) == pytest.approx((3.6576, 1.8288), abs=1e-12)
    assert found.run_off_m == pytest.approx(2.7432)
    assert (found.age_from, found.age_to, found.players_a_side) == (7, 8, 5)


def test_every_fault_is_named_with_its_line() -> None:
    """All faulty rows are told at once, each with its line and what to give."""
    bad_age = ROW.replace(",7,8,", ",seven,8,")
    bad_length = ROW.replace(",40,30,", ",forty,30,")
    bad_standing = ROW.replace("read in the source", "hearsay")
    no_width = ROW.replace(",40,30,", ",40,,")
    with pytest.raises(ValueError, match="line 2: age_from") as caught:
        parse_formats(HEADER + bad_age + bad_length + bad_standing + no_width)
    words = str(caught.value)
    assert "line 3: length_yd is a number" in words
    assert "line 4: standing is one of" in words
    assert "line 5: give the length, the width" in words


def test_missing_column_and_double_code_are_told() -> None:
    """A table without a column, or with one code twice, is refused in words."""
    with pytest.raises(ValueError, match="no column 'players_a_side'"):
        parse_formats("code,length_m,width_m\nx,1,2\n")
    with pytest.raises(ValueError, match="used twice: 5v5"):
        parse_formats(HEADER + ROW + ROW)


def test_absurd_lengths_are_refused() -> None:
    """A pitch kilometres long is a slip, not a pitch."""
    with pytest.raises(ValueError, match="length on a sports ground"):
        parse_formats(HEADER + ROW.replace(",40,30,", ",4000,30,"))


def test_shipped_tables_carry_source_and_standing() -> None:
    """Every shipped row says where it comes from and how sure it is."""
    rows = [(item.source, item.standing) for item in read_formats()]
    rows += [(item.source, item.standing) for item in read_bands()]
    for source, standing in rows:
        assert len(source) > 10
        assert standing in STANDINGS


def test_bands_gather_sizes_by_side_and_source() -> None:
    """Sizes of one source and one number a side make one band, smallest first."""
    owen = [band for band in read_bands() if band.source.startswith("Owen")]
    assert [band.side for band in owen] == [1, 2, 3, 4, 5]
    assert owen[2].sizes_m == ((15, 20), (20, 25), (25, 30))
    with pytest.raises(ValueError, match="line 2: give the side"):
        parse_practice_bands("side,width_m,length_m,standing,source\n3,,20,secondary,x\n")


def test_dates_of_validity_are_read() -> None:
    """One code may stand in rows that follow each other; days in both are a fault of the table."""
    dated = HEADER.replace("note\n", "note,valid_from,valid_until\n")
    before, after = ROW.replace("\n", ",,2026-07-01\n"), ROW.replace("\n", ",2026-07-01,\n")
    old, new = parse_formats(dated + before + after)
    assert [old.is_valid_on(date(2026, 6, 30)), old.is_valid_on(date(2026, 7, 1))] == [True, False]
    assert [new.is_valid_on(date(2026, 6, 30)), new.is_valid_on(date(2026, 7, 1))] == [False, True]
    with pytest.raises(ValueError, match="used twice: 5v5"):
        parse_formats(dated + before + after.replace("2026-07-01", "2026-06-30"))
    with pytest.raises(ValueError, match="valid_from is a date like 2026-07-01"):
        parse_formats(dated + after.replace("2026-07-01", "1 July"))


def test_a_code_has_one_size_in_all_seasons() -> None:
    """A squad that asks for a code means the same ground whatever the season."""
    sizes: dict[str, set[tuple[float | None, ...]]] = {}
    for game in read_formats():
        size = (game.length_m, game.width_m, game.goal_width_m, game.players_a_side)
        sizes.setdefault(game.code, set()).add(size)
    assert all(len(found) == 1 for found in sizes.values())


def test_nothing_that_ships_stands_from_memory() -> None:
    """Every published size was read, or is quoted by somebody who can be named."""
    standings = {game.standing for game in read_formats()}
    standings |= {band.standing for band in read_bands()}
    assert standings <= {"read in the source", "secondary"}


@pytest.mark.parametrize(
    ("age", "code"),
    [
        (7, "3v3"),
        (8, "5v5"),
        (9, "5v5"),
        (10, "7v7"),
        (11, "7v7"),
        (12, "9v9"),
        (13, "9v9"),
        (14, "11v11-u14"),
        (15, "11v11-u16"),
        (18, "11v11"),
    ],
)
def test_format_of_an_age_group_from_2026(age: int, code: str) -> None:
    """Each format is played a year later (England Football, What is a format in football)."""
    found = find_format(read_formats(), age, on=SEASON_26)
    assert found is not None
    assert found.code == code


def test_the_match_of_an_age_is_the_clubs_own_first() -> None:
    """The club's table comes first where it covers the age; the very young get the youngest's."""
    (own,) = parse_formats(HEADER + ROW.replace("5v5", "ours").replace(",7,8,", ",9,9,"))
    for age, code in ((9, "ours"), (8, "5v5"), (7, "3v3"), (5, "3v3")):
        found = match_of_age((own,), read_formats(), age, on=SEASON_26)
        assert found is not None
        assert found.code == code
    assert match_of_age((own,), read_formats(), None, on=SEASON_26) is None
    stick = replace(own, sport="hockey")
    assert match_of_age((stick,), read_formats(), 12, on=SEASON_26) is None


@pytest.mark.parametrize(
    ("age", "code"),
    [(7, "5v5"), (10, "7v7"), (12, "9v9"), (13, "11v11-u14"), (16, "11v11-u16"), (18, "11v11")],
)
def test_format_of_an_age_group(age: int, code: str) -> None:
    """Each age group gets the format its governing body gives it."""
    found = find_format(read_formats(), age, on=SEASON_25)
    assert found is not None
    assert found.code == code


def test_format_of_adults_and_of_the_very_young() -> None:
    """Adults get the open-ended format; under 6s have none; other sports are kept apart."""
    adults = find_format(read_formats(), None, on=SEASON_25)
    assert adults is not None
    assert adults.code == "11v11"
    assert find_format(read_formats(), 6, on=SEASON_25) is None
    american = find_format(read_formats(), 6, body="US Soccer", on=SEASON_25)
    assert american is not None
    assert american.code == "us-4v4"
    hockey = find_format(read_formats(), None, sport="hockey", on=SEASON_25)
    assert hockey is not None
    assert hockey.length_m == 91.4


def test_format_fits_by_its_pitch_without_run_off() -> None:
    """A mini pitch fits across a half, not on a third; ground as large as the pitch is enough."""
    mini = read_formats()[0]
    assert fits_format(shapely.box(0, 0, 27.432, 36.576), mini)
    assert not fits_format(shapely.box(0, 0, 27.4, 36.576), mini)
    assert fits_format(shapely.affinity.rotate(shapely.box(0, 0, 40, 30), 31), mini)
    assert not fits_format(L_SHAPE, read_formats()[2])
