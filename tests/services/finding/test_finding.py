"""Finding anything by typing a part of its name."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

import pytest

from clubplanner.domain.club.people import Person, Role
from clubplanner.services.evening.bookings import move_booking, withdraw_booking
from clubplanner.services.finding.finding import MOST_OF_A_KIND, Found, Kind, find_anything
from tests.builders import A_WEDNESDAY, NOW, make_range
from tests.small_club import HARRIERS, KESTRELS, LOW, TOP, book, find_area_id
from tests.stores import ALL_THE_SAME

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

SECRETARY = Person(1, "Kim", Role.SECRETARY, "")
COACH = Person(2, "Robin", Role.COACH, "", frozenset({KESTRELS}))
GROUNDSKEEPER = Person(3, "Alex", Role.GROUNDSKEEPER, "")


def found(store: Store, asked: str, person: Person = SECRETARY) -> list[Found]:
    """Return all that was found, of whatever kind."""
    return [thing for kind in find_anything(store, asked, person, NOW) for thing in kind.things]


def names(store: Store, asked: str, person: Person = SECRETARY) -> list[tuple[Kind, str]]:
    """Return the kinds and names of what was found."""
    return [(thing.kind, thing.name) for thing in found(store, asked, person)]


@pytest.mark.parametrize("asked", ["kes", "KESTRELS", "u12 kes", "kestrels u-12", "Késtrels"])
def test_a_squad_is_found_by_beginnings_in_any_order(small: Store, asked: str) -> None:
    """Capitals, accents and signs make no difference."""
    assert names(small, asked) == [(Kind.SQUAD, "U12 Kestrels")]


def test_a_squad_is_found_by_its_coach_and_says_when_it_is_next_on(small: Store) -> None:
    """The coach and the next session are told with it; one that is over is not next."""
    book(small, KESTRELS, day=A_WEDNESDAY - timedelta(days=14))
    book(small, KESTRELS)
    squad, person = found(small, "hale")
    assert (squad.kind, squad.squad_key) == (Kind.SQUAD, KESTRELS)
    assert squad.about == "Robin Hale; next: Wed 25 Nov 18:00"
    assert (person.kind, person.name) == (Kind.PERSON, "Robin Hale")


def sessions(store: Store, asked: str) -> list[Found]:
    """Return the sessions that were found, for the secretary."""
    return [one for one in found(store, asked) if one.kind is Kind.SESSION]


def test_a_day_alone_is_that_day(small: Store) -> None:
    """Nothing else goes by it."""
    (day,) = found(small, "25 November")
    assert (day.kind, day.day) == (Kind.DAY, A_WEDNESDAY)


def test_a_name_that_is_a_weekday_too_finds_both(small: Store) -> None:
    """Samstag begins like Sam Reed, who coaches the Harriers."""
    assert names(small, "sam") == [
        (Kind.DAY, "Saturday 21 November 2026"),
        (Kind.SQUAD, "U14 Harriers"),
        (Kind.PERSON, "Sam Reed"),
    ]


def test_a_name_with_a_day_is_the_session_on_that_day(small: Store) -> None:
    """Only that day's, and no other squad's."""
    number = book(small, KESTRELS)
    book(small, KESTRELS, day=A_WEDNESDAY + timedelta(days=7))
    book(small, HARRIERS, "third-2")
    (only,) = sessions(small, "kes wed 25.11.")
    assert (only.number, only.day) == (number, A_WEDNESDAY)
    assert only.about == "Wed 25 Nov 18:00–19:15, Clubhouse third, Top pitch"


def test_what_became_of_a_session_is_told_where_it_was_to_be(small: Store) -> None:
    """Moved to another day it is found on both; off it is found with its reason."""
    number = book(small, KESTRELS)
    there, later = find_area_id(small, LOW, "half-2"), A_WEDNESDAY + timedelta(days=1)
    move_booking(small, number, 0, there, make_range(day=later), NOW, ALL_THE_SAME, why="Exams")
    (gone,) = sessions(small, "kestrels 25.11.")
    (on,) = sessions(small, "kestrels 26.11.")
    assert gone.number == on.number == number
    assert gone.about == "Wed 25 Nov 18:00–19:15, Clubhouse third, Top pitch"
    assert gone.state is not None
    assert gone.state.short == "Exams. Instead: Thu 26 Nov, 18:00–19:15, Road half, Low pitch"
    assert on.state is not None
    assert (on.state.label, on.day) == ("Moved", later)
    withdraw_booking(small, number, 1, NOW, why="Frost")
    states = [
        one.state for day in ("25.11.", "26.11.") for one in sessions(small, f"kestrels {day}")
    ]
    assert [state and (state.label, state.short) for state in states] == 2 * [("Off", "Frost")]
    assert [f.state and f.state.label for f in sessions(small, f"#{number}")] == ["Off"]


def test_a_hirer_is_found_by_the_next_booking(small: Store) -> None:
    """One line a hirer, the next that is not over, not each of a season."""
    book(small, "Alderby Brass", day=A_WEDNESDAY - timedelta(days=21))
    first = book(small, "Alderby Brass", day=A_WEDNESDAY)
    book(small, "Alderby Brass", day=A_WEDNESDAY + timedelta(days=7))
    assert [(f.kind, f.number) for f in found(small, "brass")] == [(Kind.SESSION, first)]


def test_a_booking_is_found_by_its_number(small: Store) -> None:
    """With or without the sign before it; a number that nobody has finds nothing."""
    number = book(small, KESTRELS)
    assert [f.number for f in found(small, f"#{number}")] == [number]
    assert [f.number for f in found(small, str(number)) if f.kind is Kind.SESSION] == [number]
    assert [f for f in found(small, "#99999999999999999999") if f.kind is Kind.SESSION] == []


def test_ground_is_found_by_pitch_and_venue(small: Store) -> None:
    """What is called just so stands first; a pitch goes by its venue's name too."""
    ground = found(small, "top")
    assert [(f.venue_key, f.pitch_key) for f in ground] == [("marsh-lane", TOP)]
    assert [f.pitch_key for f in found(small, "marsh")][:3] == ["", TOP, LOW]


def test_everybody_finds_what_they_may_open(small: Store) -> None:
    """A coach their own squads and no people, the groundskeeper ground and sessions."""
    assert names(small, "harriers", COACH) == []
    assert names(small, "kestrels", COACH) == [(Kind.SQUAD, "U12 Kestrels")]
    assert names(small, "hale", COACH) == [(Kind.SQUAD, "U12 Kestrels")]
    book(small, KESTRELS)
    book(small, HARRIERS, "third-2")
    assert names(small, "25.11.", COACH) == [(Kind.SESSION, "U12 Kestrels")]
    assert names(small, "harriers 25.11.", COACH) == names(small, "marsh", COACH) == []
    assert names(small, "kestrels", GROUNDSKEEPER) == []
    assert names(small, "hall", GROUNDSKEEPER) == [(Kind.GROUND, "Hall")]


def test_more_than_a_page_holds_is_counted(small: Store) -> None:
    """The first few are shown, the others counted."""
    for n in range(MOST_OF_A_KIND + 3):
        start = 17 * 60 + 5 * n
        book(small, f"Hirer {n:02}", "third-1", day=date(2026, 12, 1 + n), start_min=start)
    (kind,) = find_anything(small, "hirer", SECRETARY, NOW)
    assert len(kind.things) == MOST_OF_A_KIND
    assert kind.more >= 1


@pytest.mark.parametrize(
    "asked", ["", " ", "%", "_", "'; drop", "\x00", "🥅", "a" * 5000, "#", "--"]
)
def test_odd_words_find_nothing_and_break_nothing(small: Store, asked: str) -> None:
    """Signs are no words."""
    assert found(small, asked) == []
