"""Moving a match, and bringing back who made way for it."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

import pytest

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.errors import FaultyInputError, MissingError, OutdatedError, RefusedError
from clubplanner.inputs.club_files.fixtures import FixtureLine
from clubplanner.services.evening.matches.booking import list_matches, place_match, see_match
from clubplanner.services.evening.matches.changes import (
    bring_back_for,
    call_off,
    change_match,
    matches_to_finish,
    see_made_way,
)
from clubplanner.services.evening.matches.fixture_rows import add_fixture
from clubplanner.services.giving.requests import ask_for_session
from clubplanner.services.journal.changes import list_changes, undo_change
from clubplanner.services.places.coming_back import proposed
from clubplanner.store.tables.booking_tables import BookingRow
from tests.builders import A_WEDNESDAY, NOW
from tests.services.evening.matches.test_booking import GROUND
from tests.services.giving.test_waiting_list import ROBIN, wish
from tests.small_club import (
    HALL,
    HARRIERS,
    KESTRELS,
    LOW,
    TOP,
    book,
    kept_bookings,
    load_small_club,
)

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

THURSDAY = A_WEDNESDAY + timedelta(days=1)


@pytest.fixture
def small(empty_store: Store) -> Store:
    """Give the small club's database; the top pitch has portable goals."""
    return load_small_club(empty_store, pitches=GROUND)


def line(**changes: object) -> FixtureLine:
    """Return a match of the Harriers on a Wednesday at 18:30, or one with changes."""
    values: dict[str, object] = {
        "row": 0,
        "squad": "U14 Harriers",
        "day": A_WEDNESDAY,
        "kick_off_from": 1110,
        "kick_off_to": 1110,
        "opponent": "Brook End",
        "format_code": "11v11-u16",
        "minutes": 80,
        "warm_up_minutes": None,
        "after_minutes": None,
        "pitch_name": "",
        "officials": "",
        "opponents": "",
        "note": "",
    }
    return FixtureLine(**{**values, **changes})  # type: ignore[arg-type]


def given_ground(store: Store, *, withdraw: bool = True) -> tuple[int, int]:
    """Give the match the top pitch, whose training makes way; return its number and booking's."""
    number = add_fixture(store, line())
    option = see_match(store, number, NOW).options[0]
    choice = (option.area_id, option.kick_off_min)
    displaced = see_match(store, number, NOW, choice).displaced
    decisions = {one.number: "withdraw" if withdraw else one.chosen for one in displaced}
    place_match(store, number, choice, decisions, NOW)
    return number, booking_of(store, "U14 Harriers").id


def booking_of(store: Store, holder: str) -> BookingRow:
    """Return the one match of a squad, withdrawn or not."""
    with store.read() as session:
        rows = session.query(BookingRow).where(BookingRow.purpose == Purpose.MATCH)
        (row,) = [row for row in rows if row.holder == holder]
        session.expunge(row)
        return row


def test_words_alone_keep_the_ground(small: Store) -> None:
    """Another opponent and a referee are told to the squad, at the same place."""
    number, _booking = given_ground(small)
    before = booking_of(small, "U14 Harriers")
    words = change_match(small, number, line(opponent="Mill End", officials="Ref. Ash"), NOW)
    assert words == (
        "U14 Harriers v Mill End, Wed 25 Nov, kick-off 18:30: changed, on the same ground."
    )
    after = booking_of(small, "U14 Harriers")
    assert after.note == "Kick-off 18:30 against Mill End. Ref. Ash."
    assert (after.sequence, after.starts_at) == (before.sequence + 1, before.starts_at)


def test_the_same_ground_goes_along_where_it_is_free(small: Store) -> None:
    """One entry moves in the calendar; who made way can come back, and does."""
    book(small, KESTRELS, "third-1")
    number, booking = given_ground(small)
    assert not see_made_way(small, number, NOW).returns, "the match is still there"
    words = change_match(small, number, line(day=THURSDAY, kick_off_to=1140), NOW)
    assert words.endswith("18:30 to 19:00: kick-off 18:30, on the same ground.")
    moved = booking_of(small, "U14 Harriers")
    assert (moved.id, moved.is_withdrawn) == (booking, False)
    assert see_match(small, number, NOW).line.place == "Whole of Top pitch"
    (hint,) = matches_to_finish(small, NOW)
    assert (hint.line.number, hint.count, hint.is_called_off) == (number, 1, False)
    (one,) = hint.returns
    assert bring_back_for(small, number, NOW, {one.number: one.sequence}) == (
        "1 session is back where it was."
    )
    assert [kept.area for kept in kept_bookings(small)] == [f"{TOP}/third-1", f"{TOP}/whole"]
    assert matches_to_finish(small, NOW) == ()
    with pytest.raises(OutdatedError, match="decided about"):
        bring_back_for(small, number, NOW, {one.number: one.sequence})
    with pytest.raises(RefusedError, match="Tick"):
        bring_back_for(small, number, NOW, {})


def test_ground_that_is_not_free_then_is_given_back(small: Store) -> None:
    """The match waits for other ground; its squad is told that it is off, and why."""
    number, booking = given_ground(small)
    book(small, KESTRELS, "third-1", day=THURSDAY)
    words = change_match(small, number, line(day=THURSDAY), NOW)
    assert words.endswith(": its ground was given back, choose ground for it.")
    assert booking_of(small, "U14 Harriers").is_withdrawn
    assert list_matches(small, NOW)[0].place == ""
    change = list_changes(small, NOW)[0]
    assert "its ground was given back" in change.words
    option = see_match(small, number, NOW).options[0]
    choice = (option.area_id, option.kick_off_min)
    displaced = see_match(small, number, NOW, choice).displaced
    place_match(small, number, choice, {one.number: one.chosen for one in displaced}, NOW)
    again = booking_of(small, "U14 Harriers")
    assert (again.id, again.is_withdrawn, again.is_fixed) == (booking, False, True)
    undo_change(small, list_changes(small, NOW)[0].number, NOW)
    undo_change(small, change.number, NOW)
    assert see_match(small, number, NOW).line.when == "Wed 25 Nov, kick-off 18:30"
    assert list_matches(small, NOW)[0].place == "Whole of Top pitch"


def test_who_made_way_for_a_match_called_off_comes_back(small: Store) -> None:
    """Moved or withdrawn, with the match out of the way; the list says so until it is done."""
    book(small, KESTRELS, "third-1")
    number, _booking = given_ground(small, withdraw=False)
    assert sum(kept.area.startswith(HALL) for kept in kept_bookings(small)) == 1
    assert matches_to_finish(small, NOW) == ()
    call_off(small, number, NOW)
    (hint,) = matches_to_finish(small, NOW)
    assert hint.is_called_off
    (one,) = hint.returns
    assert (one.can, one.is_ticked) == (True, True)
    assert see_made_way(small, number, NOW + timedelta(days=60)).returns == ()
    bring_back_for(small, number, NOW, {one.number: one.sequence})
    assert [kept.area for kept in kept_bookings(small)] == [f"{TOP}/third-1"]
    assert matches_to_finish(small, NOW + timedelta(days=60)) == ()


def test_whoever_waits_for_the_ground_is_served(small: Store) -> None:
    """At once where nobody made way for the match."""
    number, _booking = given_ground(small)
    for pitch in (LOW, HALL):
        book(small, "Choir", "whole", pitch_key=pitch, purpose=Purpose.HIRE, start_min=960)
    assert "waiting list" in ask_for_session(small, ROBIN, wish(), NOW)
    off = call_off(small, number, NOW)
    assert off.startswith("U14 Harriers v Brook End called off. U12 Kestrels have ")


def test_those_who_made_way_come_before_whoever_waits(small: Store) -> None:
    """The ground stays free until they are back; then the rest of it is given."""
    book(small, HARRIERS, "third-1", start_min=1080, end_min=1140)
    number, _booking = given_ground(small)
    for pitch in (LOW, HALL):
        book(small, "Choir", "whole", pitch_key=pitch, purpose=Purpose.HIRE, start_min=960)
    ask_for_session(small, ROBIN, wish(), NOW)
    assert call_off(small, number, NOW) == "U14 Harriers v Brook End called off."
    back = proposed(see_made_way(small, number, NOW).returns)
    words = bring_back_for(small, number, NOW, back)
    assert words.startswith("1 session is back where it was. U12 Kestrels have ")


def test_a_person_who_decided_since_is_asked(small: Store) -> None:
    """Ground that somebody else took is told; nobody is put beside them."""
    book(small, KESTRELS, "third-1")
    number, _booking = given_ground(small)
    call_off(small, number, NOW)
    book(small, "Choir", "third-1", purpose=Purpose.HIRE)
    (one,) = see_made_way(small, number, NOW).returns
    assert not one.can
    assert "Choir" in one.why
    assert matches_to_finish(small, NOW) == ()


def test_faults_are_told_at_their_fields(small: Store) -> None:
    """A date that has passed, a twin in the list; a match that has begun stays as it was."""
    number, _booking = given_ground(small)
    with pytest.raises(FaultyInputError) as caught:
        change_match(small, number, line(day=NOW.date() - timedelta(days=1)), NOW)
    assert [(p.where, p.code) for p in caught.value.problems] == [("date", "past")]
    other = add_fixture(small, line(opponent="Mill End"))
    with pytest.raises(FaultyInputError) as caught:
        change_match(small, other, line(), NOW)
    assert [(p.where, p.code) for p in caught.value.problems] == [("opponent", "known")]
    begun = booking_of(small, "U14 Harriers").starts_at + timedelta(minutes=1)
    with pytest.raises(RefusedError, match="has begun"):
        change_match(small, number, line(kick_off_from=1140, kick_off_to=1140), begun)
    assert "changed" in change_match(small, number, line(note="Late start"), begun)
    call_off(small, other, NOW)
    with pytest.raises(MissingError, match="called off"):
        change_match(small, other, line(), NOW)


def test_a_match_without_ground_is_only_changed(small: Store) -> None:
    """Nothing of it is anywhere yet; warm-up and the time after stay as they were arranged."""
    number = add_fixture(small, line(warm_up_minutes=45, after_minutes=5))
    words = change_match(small, number, line(kick_off_to=1200), NOW)
    assert words == "U14 Harriers v Brook End, Wed 25 Nov, kick-off 18:30 to 20:00: changed."
    assert "45 before for warming up and 5 after" in see_match(small, number, NOW).needs
