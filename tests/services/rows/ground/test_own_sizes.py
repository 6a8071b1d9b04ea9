"""A club's own table of sizes, from its file to asks, share-outs and the coach's page."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
import shapely

from clubplanner.errors import FaultyInputError
from clubplanner.fitting.setting_out.formats import fits_format
from clubplanner.inputs.club_files.club_file import ClubFile
from clubplanner.inputs.club_files.sizes import read_sizes
from clubplanner.services.coach.fits.format_words import formats_on
from clubplanner.services.rows.ground.known_sizes import published_formats, with_published
from clubplanner.services.rows.ground.own_sizes import load_formats, load_own_formats
from clubplanner.services.rows.snapshot import load_asks
from clubplanner.services.setup.loading import load_files
from tests.builders import A_WEDNESDAY, NOW
from tests.services.club_files import SQUADS, text_of

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

SIZES = (
    "code,age_from,age_to,players_a_side,length_m,width_m\n"
    "5v5,7,8,5,30,20\n"
    "8v8-league,13,14,8,60,40\n"
)


def sizes(text: str = SIZES) -> ClubFile:
    """Return a table as a file."""
    return ClubFile("our sizes.csv", text.encode())


def squads(least: str) -> ClubFile:
    """Return the squads file with another least ground for the U13 Kestrels."""
    rows = text_of(SQUADS).replace('"third, 1500 m2"', f'"{least}"', 1)
    return ClubFile(SQUADS, rows.encode())


def least_formats(store: Store) -> set[str]:
    """Return the formats that asks name."""
    with store.read() as session:
        return {ask.least_ground.format_code for _, ask in load_asks(session)} - {""}


def faults_of(store: Store, *files: ClubFile) -> list[str]:
    """Return what is wrong with files, in words."""
    with pytest.raises(FaultyInputError) as caught:
        load_files(store, files, NOW)
    return [str(problem) for problem in caught.value.problems]


def test_a_table_is_kept_and_replaced_as_a_whole(club_store: Store) -> None:
    """What was read comes back in its order; the next table takes its place."""
    report = load_files(club_store, [sizes()], NOW)
    assert "2 sizes of the club's own" in report.lines
    with club_store.read() as session:
        assert load_own_formats(session) == read_sizes(SIZES, "x").formats
    report = load_files(club_store, [sizes(SIZES.partition("5v5")[0])], NOW)
    assert "no sizes of the club's own any more" in report.lines
    with club_store.read() as session:
        assert load_own_formats(session) == ()
        assert load_formats(session) == with_published(())


def test_own_sizes_stand_in_for_published_namesakes(club_store: Store) -> None:
    """A code of the club's own means its own size; other published codes stay known."""
    load_files(club_store, [sizes()], NOW)
    with club_store.read() as session:
        known = {game.code: game for game in load_formats(session)}
    assert known["5v5"].length_m == 30
    assert known["7v7"] in published_formats()
    assert len(known) == len({game.code for game in published_formats()}) + 1


def test_an_ask_may_name_a_size_of_the_same_load_or_an_earlier_one(club_store: Store) -> None:
    """Squads name the club's own codes, in any order of files, then and later."""
    load_files(club_store, [squads("8v8-league"), sizes()], NOW)
    assert least_formats(club_store) == {"8v8-league"}
    load_files(club_store, [squads("third, 5v5")], NOW)
    load_files(club_store, [squads("8v8-LEAGUE")], NOW)
    assert least_formats(club_store) == {"8v8-league"}


def test_an_unknown_size_is_told_with_the_known_ones(club_store: Store) -> None:
    """Without the table its code is no size, and the message lists those that are."""
    (fault,) = faults_of(club_store, squads("8v8-league"))
    assert "“8v8-league” is no size" in fault
    assert "9v9" in fault


def test_a_size_still_asked_for_is_not_dropped(club_store: Store) -> None:
    """A new table without a code that a squad asks for is refused; with new squads it is taken."""
    load_files(club_store, [squads("8v8-league"), sizes()], NOW)
    without = sizes(SIZES.partition("8v8")[0])
    (fault,) = faults_of(club_store, without)
    assert "U13 Kestrels asks for “8v8-league”" in fault
    with club_store.read() as session:
        assert len(load_own_formats(session)) == 2
    load_files(club_store, [without, squads("5v5")], NOW)
    assert least_formats(club_store) == {"5v5"}


def test_faults_of_the_table_come_with_the_others(club_store: Store) -> None:
    """Faults of every file are told together, two tables are one too many, nothing is changed."""
    bad = sizes(SIZES.replace("30,20", "30,0"))
    told = faults_of(club_store, bad, squads("huge"))
    assert any(fault.startswith("our sizes.csv, row 2, column width_m: ") for fault in told)
    assert any("“huge” is no size" in fault for fault in told)
    assert any("one table of sizes at a time" in f for f in faults_of(club_store, sizes(), sizes()))
    with club_store.read() as session:
        assert [game.code for game in load_own_formats(session)] == ["4v4-saturday", "7v7-evening"]


def test_formats_of_an_age_group_on_a_ground() -> None:
    """The club's own sizes come first; each is said to fit or not, with its source."""
    own = read_sizes(SIZES, "x").formats
    found = formats_on(own, 13, shapely.box(0, 0, 33, 64), A_WEDNESDAY)
    assert (found.of_age[0].game.code, found.of_age[0].fits) == ("8v8-league", False)
    assert "our club, 8v8-league, 8 a side: 60 × 40 m (66 × 44 yd)" in found.of_age[0].sentence
    bodies = {item.game.body for item in found.of_age}
    assert {"our club", "The FA"} <= bodies
    assert all("Source: " in item.sentence for item in found.of_age)
    football = found.fitting[0]
    assert (football.sport, football.is_played) == ("football", True)
    assert "5v5" in football.codes
    assert "8v8-league" not in football.codes


def test_fitting_codes_are_those_whose_pitch_fits() -> None:
    """Every format of every sport is tried; the age group's are those of the club's sports."""
    hall = shapely.box(0, 0, 45, 30)
    found = formats_on((), None, hall, A_WEDNESDAY)
    fitting = {game.code for game in published_formats() if fits_format(hall, game)}
    assert {code for item in found.fitting for code in item.codes} == fitting
    assert [item.sport for item in found.fitting if item.is_played] == ["football"]
    assert {item.game.sport for item in found.of_age} == {"football"}


def test_a_hall_is_told_what_sports_it_holds() -> None:
    """A hall of 44 × 24 m holds handball, futsal and basketball, no hockey; in words as well.

    Source: Western Australian Government, Sports Dimensions Guide: handball and futsal courts
    40 × 20 m; FIBA, Official Basketball Rules: 28 × 15 m; FIH, Rules of Hockey: 91.4 × 55 m.
    """
    found = formats_on((), None, shapely.box(0, 0, 44, 24), A_WEDNESDAY)
    sports = {item.sport for item in found.fitting}
    assert {"handball", "futsal", "basketball", "volleyball"} <= sports
    assert not {"hockey", "rugby union"} & sports
    assert (
        found.lines[0]
        == "Pitches that fit here, by their size alone: football: 3v3, dfb-3v3, us-4v4."
    )
    assert "handball; basketball: basketball, basketball-3x3;" in found.lines[1]


@pytest.mark.parametrize(
    ("yards", "said"),
    [
        # The FA, Goalpost and pitch sizes, FA Handbook 2016-17 p. 556: 5v5 on 40 × 30 yd, with
        # run-off 46 × 36 yd.
        ((46, 36), "fits here with that."),
        ((45.9, 36), "fits here to the line only."),
        ((40, 30), "fits here to the line only."),
        ((39.9, 30), "does not fit here."),
    ],
)
def test_a_format_is_held_against_the_ground_with_its_run_off(
    yards: tuple[float, float], said: str
) -> None:
    """A ground that holds pitch and run-off is told from one that holds the pitch alone."""
    ground = shapely.box(0, 0, yards[0] * 0.9144 + 1e-6, yards[1] * 0.9144 + 1e-6)
    five = next(f for f in formats_on((), 8, ground, A_WEDNESDAY).of_age if f.game.code == "5v5")
    assert said in five.sentence


def test_a_court_for_other_sports_only() -> None:
    """Where only other sports fit, that is said of the club's own first."""
    found = formats_on((), None, shapely.box(0, 0, 20, 10), A_WEDNESDAY)
    assert found.lines[0] == "None of the club's own sports has a pitch that fits here."
    assert "volleyball" in found.lines[1]


def test_a_lawn_holds_no_pitch() -> None:
    """Ground too small for every table is told so in one line."""
    found = formats_on((), None, shapely.box(0, 0, 8, 5), A_WEDNESDAY)
    assert found.lines == ("No pitch of the tables fits here.",)


def test_a_clubs_own_sports_are_looked_at() -> None:
    """A hockey club's table brings the published sizes of hockey with it, in front."""
    stick = replace(read_sizes(SIZES, "x").formats[0], code="mini-hockey", sport="hockey")
    found = formats_on((stick,), None, shapely.box(0, 0, 100, 64), A_WEDNESDAY)
    played = [item for item in found.fitting if item.is_played]
    assert [(item.sport, set(item.codes)) for item in played] == [
        ("hockey", {"mini-hockey", "hockey"})
    ]
    assert found.fitting[0] == played[0]
    assert {item.game.sport for item in found.of_age} <= {"hockey"}
    assert with_published((stick,))[0] == stick
