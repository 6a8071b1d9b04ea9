"""Giving matches their ground, in the open."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

import pytest

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.errors import FaultyInputError, MissingError, OutdatedError, RefusedError
from clubplanner.inputs.club_files.club_file import ClubFile
from clubplanner.services.evening.matches.booking import (
    list_matches,
    place_free_matches,
    place_match,
    see_match,
)
from clubplanner.services.evening.matches.changes import call_off
from clubplanner.services.evening.matches.fixture_rows import load_fixtures
from clubplanner.services.journal.changes import list_changes, undo_change
from clubplanner.services.setup.loading import load_files
from tests.builders import A_WEDNESDAY, NOW
from tests.outputs.tables.tables import as_workbook
from tests.small_club import (
    HALL,
    KESTRELS,
    PITCHES,
    TOP,
    book,
    kept_bookings,
    load_small_club,
    pitch_feature,
)

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

SATURDAY = date(2026, 11, 28)
GROUND = (
    pitch_feature("Top pitch", 100, 64, surface="artificial", floodlights=True, portable_goals=2),
    *PITCHES[1:],
)
HEADER = "date,kick-off,squad,opponent,format,minutes\n"


@pytest.fixture
def small(empty_store: Store) -> Store:
    """Give the small club's database; the top pitch has portable goals."""
    return load_small_club(empty_store, pitches=GROUND)


def load(store: Store, *rows: str) -> str:
    """Load fixtures."""
    return load_fixtures(store, ClubFile("fixtures.csv", (HEADER + "\n".join(rows)).encode()))


def test_fixtures_come_as_a_workbook(small: Store) -> None:
    """A kick-off that a spreadsheet took for a time is one; other sheets are passed over."""
    rows = (
        "2026-11-28,10:00-12:00,U12 Kestrels,Brook End,,",
        "2026-11-29,14:00,U12 Kestrels,Mill End,,70",
    )
    home = HEADER + "\n".join(rows)
    book = as_workbook({"Notes": "what,who\nlines,Ida\n", "Home": home})
    assert load_fixtures(small, ClubFile("fixtures.xlsx", book)) == "2 fixtures added."
    first, second = list_matches(small, NOW)
    assert (first.opponent, second.opponent) == ("Brook End", "Mill End")
    assert second.when.endswith("kick-off 14:00")


def test_form_and_length_come_from_the_squads_age(small: Store) -> None:
    """U12 play 9 v 9, two halves of 30 minutes: FA Handbook 2016-17 p. 556; youth rules."""
    assert load(small, "2026-11-28,10:00-12:00,U12 Kestrels,Brook End,,") == "1 fixture added."
    (line,) = list_matches(small, NOW)
    assert (line.game, line.place) == ("9v9", "")
    assert line.when == "Sat 28 Nov, kick-off 10:00 to 12:00"
    page = see_match(small, line.number, NOW)
    assert "73.2 × 45.7 m" in page.needs
    assert "75 minutes with half-time, 30 before" in page.needs
    assert {option.place for option in page.options} == {"Whole of Top pitch"}
    assert page.options[0].kick_off == "10:00"
    assert page.options[0].needed == "09:30–11:30"


def test_loading_again_brings_up_to_date_and_adds_nothing_twice(small: Store) -> None:
    """The same file twice is no harm; a changed kick-off is taken over; faults change nothing."""
    load(small, "2026-11-28,10:00,U12 Kestrels,Brook End,,")
    assert load(small, "2026-11-28,11:00,U12 Kestrels,Brook End,,") == (
        "0 fixtures added, 1 known already."
    )
    assert list_matches(small, NOW)[0].when == "Sat 28 Nov, kick-off 11:00"
    with pytest.raises(FaultyInputError) as caught:
        load(
            small,
            "2026-12-05,10:00,U12 Kestrels,Hill Town,,",
            "2026-12-05,10:00,U11 Owls,Hill Town,,",
        )
    (problem,) = caught.value.problems
    assert str(problem) == (
        "fixtures.csv, row 3: There is no squad “U11 Owls”; write U12 Kestrels or U14 Harriers."
    )
    assert len(list_matches(small, NOW)) == 1


def test_a_match_displaces_training_in_the_open(small: Store) -> None:
    """Who has to go is shown with a place, all is one change, and can be taken back."""
    load(small, f"{A_WEDNESDAY},18:30,U14 Harriers,Brook End,11v11-u16,80")
    book(small, KESTRELS, "third-1")
    (line,) = list_matches(small, NOW)
    page = see_match(small, line.number, NOW)
    option = page.options[0]
    assert (option.displaces, option.is_full_size) == (1, True)
    choice = (option.area_id, option.kick_off_min)
    looked = see_match(small, line.number, NOW, choice)
    (one,) = looked.displaced
    assert one.holder == "U12 Kestrels"
    assert "Hall" in one.choices[0].words
    with pytest.raises(OutdatedError, match="look again"):
        place_match(small, line.number, choice, {}, NOW)
    words = place_match(small, line.number, choice, {one.number: one.chosen}, NOW)
    assert words == (
        "U14 Harriers v Brook End: Whole of Top pitch, kick-off 18:30. 1 session moved."
    )
    match, training = sorted(kept_bookings(small), key=lambda kept: kept.area, reverse=True)
    assert match.local == (A_WEDNESDAY, "18:00", "20:05")
    assert training.area.startswith(HALL)
    assert list_matches(small, NOW)[0].place == "Whole of Top pitch"
    with pytest.raises(RefusedError, match="has ground already"):
        place_match(small, line.number, choice, {}, NOW)
    change = list_changes(small, NOW)[0]
    assert change.words.startswith("U14 Harriers v Brook End on Whole of Top pitch")
    undo_change(small, change.number, NOW)
    assert [kept.area for kept in kept_bookings(small)] == [f"{TOP}/third-1"]
    assert list_matches(small, NOW)[0].place == "", "taken back: the match is without ground"


def test_matches_hirers_and_closures_are_not_displaced(small: Store) -> None:
    """Ground that somebody other than training holds is not offered."""
    load(small, f"{A_WEDNESDAY},18:30-19:30,U14 Harriers,Brook End,11v11-u16,80")
    book(small, "Choir", "third-3", purpose=Purpose.HIRE, end_min=18 * 60 + 45)
    (line,) = list_matches(small, NOW)
    offered = [option.kick_off for option in see_match(small, line.number, NOW).options]
    assert offered == ["19:15", "19:30"]


def test_no_match_ends_in_the_dark_or_after_hours(small: Store) -> None:
    """Floodlights go out at 21:30 and the venue closes at 22:00."""
    load(small, f"{A_WEDNESDAY},20:00-21:00,U14 Harriers,Brook End,11v11-u16,80")
    (line,) = list_matches(small, NOW)
    assert [o.kick_off for o in see_match(small, line.number, NOW).options] == ["20:00"]


def test_all_that_disturb_nobody_are_placed_at_once(small: Store) -> None:
    """Matches that would displace training wait for a person."""
    load(
        small,
        f"{SATURDAY},10:00,U12 Kestrels,Brook End,,",
        f"{SATURDAY},10:00-13:00,U14 Harriers,Hill Town,11v11-u16,80",
        f"{A_WEDNESDAY},18:30,U14 Harriers,Far Away,11v11-u16,80",
    )
    book(small, KESTRELS, "third-1")
    done = place_free_matches(small, NOW)
    assert [words.split(":")[0] for words in done] == [
        "U12 Kestrels v Brook End",
        "U14 Harriers v Hill Town",
    ]
    places = {line.opponent: line.place for line in list_matches(small, NOW)}
    assert places == {
        "Far Away": "",
        "Brook End": "Whole of Top pitch",
        "Hill Town": "Whole of Top pitch",
    }
    assert place_free_matches(small, NOW) == ()


def test_a_match_called_off_gives_its_ground_back(small: Store) -> None:
    """Called off, it leaves list and ground; loaded again, it is new."""
    row = f"{SATURDAY},10:00,U12 Kestrels,Brook End,,"
    load(small, row)
    place_free_matches(small, NOW)
    (line,) = list_matches(small, NOW)
    assert call_off(small, line.number, NOW) == "U12 Kestrels v Brook End called off."
    assert kept_bookings(small) == []
    assert list_matches(small, NOW) == ()
    with pytest.raises(MissingError, match="called off"):
        see_match(small, line.number, NOW)
    assert load(small, row) == "1 fixture added."
    assert list_matches(small, NOW)[0].place == ""


def test_an_option_that_is_gone_is_told(small: Store) -> None:
    """A choice that is not among the options leads back to them; the past is refused."""
    load(small, f"{SATURDAY},10:00,U12 Kestrels,Brook End,,")
    (line,) = list_matches(small, NOW)
    with pytest.raises(MissingError, match="no longer to be had"):
        see_match(small, line.number, NOW, (1, 1))
    option = see_match(small, line.number, NOW).options[0]
    late = NOW + timedelta(days=30)
    with pytest.raises(RefusedError, match="has passed"):
        place_match(small, line.number, (option.area_id, option.kick_off_min), {}, late)


def test_harriers_coach_in_two_places_is_a_caution(small: Store) -> None:
    """A coach of two squads is told, not refused."""
    text = "squad,age group,players,coach,sessions a week,minutes,possible\n"
    for squad, age in (("U12 Kestrels", "U12"), ("U14 Harriers", "U14")):
        text += f"{squad},{age},14,Robin Hale,1,75,Wed 18:00-19:15\n"
    load_small_club(small, squads=text, pitches=GROUND)
    load(small, f"{A_WEDNESDAY},18:30,U14 Harriers,Brook End,11v11-u16,80")
    book(small, KESTRELS, "half-1", pitch_key=HALL)
    (line,) = list_matches(small, NOW)
    cautions = see_match(small, line.number, NOW).options[0].cautions
    also = "Robin Hale is also with U12 Kestrels on Clubhouse half, Hall 18:00–19:15."
    assert also in cautions


def test_fixtures_among_the_clubs_files_are_led_to_their_page(small: Store) -> None:
    """A fixtures file is told apart by its columns, and nothing is changed."""
    with pytest.raises(FaultyInputError) as caught:
        load_files(small, [ClubFile("fixtures.csv", HEADER.encode())], NOW)
    (problem,) = caught.value.problems
    assert "load them on the page “Matches”" in str(problem)
