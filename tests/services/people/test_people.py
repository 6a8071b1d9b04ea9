"""Who may sign in, as what, and what happens when two people change the same one."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from clubplanner.domain.club.people import Person, Role
from clubplanner.errors import FaultyInputError, MissingError, OutdatedError, RefusedError
from clubplanner.services.journal.changes import list_changes
from clubplanner.services.people.people import (
    PersonDraft,
    add_person,
    change_person,
    end_access,
    list_people,
    see_person,
    squad_choices,
)
from clubplanner.services.people.ways_in.browsers import find_person
from clubplanner.services.people.ways_in.passwords import create_secretary_key, set_password
from clubplanner.services.people.ways_in.sign_in_links import hand_over_link, use_link
from tests.builders import NOW
from tests.small_club import HARRIERS, KESTRELS

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

ROBIN = PersonDraft("Robin Hale", Role.COACH, "robin@alderby.example", (KESTRELS,))


@pytest.fixture
def store(small: Store) -> Store:
    """Give the small club."""
    return small


def set_up(store: Store, name: str = "Kim Ashby") -> None:
    """Set a secretary up who can sign in."""
    key = create_secretary_key(store, NOW)
    set_password(store, key, name, "", "four words make it long", "A browser", NOW)


def version_of(store: Store, number: int) -> int:
    """Return the change of a person that stands."""
    return see_person(store, number).version


def test_a_coach_looks_after_their_squads(store: Store) -> None:
    """Squads go with the coach; they are there at the next request of a signed-in browser."""
    number = add_person(store, ROBIN, NOW)
    browser = use_link(store, hand_over_link(store, number, NOW), "", "A browser", NOW)
    assert find_person(store, browser, NOW) == Person(
        number, "Robin Hale", Role.COACH, "robin@alderby.example", frozenset({KESTRELS})
    )
    both = replace(ROBIN, squad_keys=(HARRIERS, KESTRELS, HARRIERS))
    change_person(store, number, version_of(store, number), both, NOW)
    person = find_person(store, browser, NOW)
    assert person is not None
    assert person.squad_keys == {KESTRELS, HARRIERS}
    assert person.looks_after(HARRIERS)
    assert not person.looks_after(None)
    assert [choice.value for choice in squad_choices(store)] == [KESTRELS, HARRIERS]


def test_only_coaches_look_after_squads(store: Store) -> None:
    """A groundskeeper who coaches has no coach's pages; a secretary looks after all."""
    keeper = add_person(store, replace(ROBIN, role=Role.GROUNDSKEEPER), NOW)
    assert see_person(store, keeper).person.squad_keys == frozenset()
    assert Person(1, "Kim", Role.SECRETARY, "").looks_after("any")


def test_people_are_listed_secretaries_first(store: Store) -> None:
    """Then by what they do, then by name, with squads and browsers."""
    add_person(store, ROBIN, NOW)
    add_person(store, PersonDraft("alex Marsh", Role.COACH, ""), NOW)
    set_up(store)
    add_person(store, PersonDraft("Jo Field", Role.GROUNDSKEEPER, ""), NOW)
    lines = list_people(store, NOW)
    assert [line.person.name for line in lines] == [
        "Kim Ashby",
        "Jo Field",
        "alex Marsh",
        "Robin Hale",
        "Sam Reed",
    ]
    assert [line.browsers for line in lines] == [1, 0, 0, 0, 0]
    assert [line.has_password for line in lines] == [True, False, False, False, False]
    assert [line.may_sign_in for line in lines] == [True, True, True, True, False]
    assert lines[3].squad_names == ("U12 Kestrels",)


@pytest.mark.parametrize(
    ("name", "email", "fields"),
    [
        ("robin  HALE", "", ["name"]),
        ("Sam Reed", "ROBIN@alderby.example", ["email"]),
        ("robin@alderby.example", "", ["name"]),
        ("Robin Hale", "robin@alderby.example", ["name", "email"]),
    ],
)
def test_two_people_never_sign_in_by_the_same_words(
    store: Store, name: str, email: str, fields: list[str]
) -> None:
    """A name or e-mail that already means somebody is told at its field."""
    add_person(store, ROBIN, NOW)
    with pytest.raises(FaultyInputError) as caught:
        add_person(store, PersonDraft(name, Role.COACH, email), NOW)
    assert [problem.where for problem in caught.value.problems] == fields


def test_a_squad_that_is_gone_is_told(store: Store) -> None:
    """Nothing is written for a squad that is not there."""
    with pytest.raises(FaultyInputError, match="nothing was changed"):
        add_person(store, replace(ROBIN, squad_keys=(KESTRELS, "u99")), NOW)
    assert not any(line.may_sign_in for line in list_people(store, NOW))


def test_the_later_of_two_changes_is_told(store: Store) -> None:
    """Whoever looked at an older state overwrites nothing."""
    number = add_person(store, ROBIN, NOW)
    seen = version_of(store, number)
    change_person(store, number, seen, replace(ROBIN, email=""), NOW)
    for late in (
        lambda: change_person(store, number, seen, replace(ROBIN, name="Bobby Hale"), NOW),
        lambda: end_access(store, number, seen, NOW),
    ):
        with pytest.raises(OutdatedError, match="stands now is: Robin Hale, coach, U12 Kestrels"):
            late()
    assert see_person(store, number).person.email == ""
    assert version_of(store, number) == seen + 1


def test_another_role_begins_anew(store: Store) -> None:
    """Who gets another role is signed out, and what was handed over is void."""
    number = add_person(store, ROBIN, NOW)
    browser = use_link(store, hand_over_link(store, number, NOW), "", "A browser", NOW)
    unused = hand_over_link(store, number, NOW)
    draft = replace(ROBIN, role=Role.SECRETARY)
    change_person(store, number, version_of(store, number), draft, NOW)
    assert find_person(store, browser, NOW) is None
    with pytest.raises(MissingError):
        use_link(store, unused, "", "A browser", NOW)


def test_one_secretary_who_can_sign_in_always_stays(store: Store) -> None:
    """The last one keeps the access, until another one has set a password."""
    set_up(store)
    first = list_people(store, NOW)[0].person.number
    other = add_person(store, PersonDraft("Lee Park", Role.SECRETARY, ""), NOW)
    draft = PersonDraft("Kim Ashby", Role.COACH, "")
    for attempt in (
        lambda: change_person(store, first, 0, draft, NOW),
        lambda: end_access(store, first, 0, NOW),
    ):
        with pytest.raises(RefusedError, match="Kim Ashby is the only secretary who can sign in"):
            attempt()
    key = create_secretary_key(store, NOW, "Lee Park")
    set_password(store, key, "Lee Park", "", "four words make it long", "A browser", NOW)
    assert end_access(store, first, 0, NOW) == "Kim Ashby"
    may = [line.person.number for line in list_people(store, NOW) if line.may_sign_in]
    assert may == [other]


def test_nobody_is_shown_by_a_number_that_is_not_there(store: Store) -> None:
    """A number nobody has, or had, leads nowhere."""
    number = add_person(store, PersonDraft("Jo Field", Role.GROUNDSKEEPER, ""), NOW)
    end_access(store, number, 0, NOW)
    for gone in (number, 99):
        with pytest.raises(MissingError, match="no such person"):
            see_person(store, gone)


def test_a_known_coach_who_is_let_in_is_the_same_person(store: Store) -> None:
    """By name where no address says otherwise; they keep their squads, and may sign in now."""
    (robin,) = [line for line in list_people(store, NOW) if line.person.name == "Robin Hale"]
    assert (robin.may_sign_in, robin.squad_names) == (False, ("U12 Kestrels",))
    number = add_person(store, replace(ROBIN, squad_keys=(HARRIERS,)), NOW)
    assert number == robin.person.number
    (robin,) = [line for line in list_people(store, NOW) if line.person.name == "Robin Hale"]
    assert (robin.may_sign_in, robin.squad_names) == (True, ("U12 Kestrels",))
    assert robin.assisted_names == ("U14 Harriers",)


def test_a_coach_is_let_in_from_their_page(store: Store) -> None:
    """The address that is handed over lets them in, and with it they may sign in."""
    number = next(n.person.number for n in list_people(store, NOW) if n.person.name == "Sam Reed")
    assert not see_person(store, number).may_sign_in
    browser = use_link(store, hand_over_link(store, number, NOW), "", "A browser", NOW)
    person = find_person(store, browser, NOW)
    assert person is not None
    assert person.squad_keys == {HARRIERS}
    assert see_person(store, number).may_sign_in


def test_whose_access_ends_still_coaches(store: Store) -> None:
    """The squad is handed over on its own page; until then somebody answers for it."""
    number = add_person(store, ROBIN, NOW)
    end_access(store, number, version_of(store, number), NOW)
    page = see_person(store, number)
    assert (page.may_sign_in, page.squad_keys) == (False, (KESTRELS,))


def test_who_leaves_a_squad_is_followed_by_the_next(store: Store) -> None:
    """The first assistant answers for it then; the change is in the journal."""
    number = add_person(store, ROBIN, NOW)
    add_person(store, PersonDraft("Lee Orr", Role.COACH, "", (KESTRELS,)), NOW)
    change_person(store, number, version_of(store, number), replace(ROBIN, squad_keys=()), NOW)
    assert squad_choices(store)[0].note == "Lee Orr"
    told = str(list_changes(store, NOW)[0])
    assert "Coach of a squad “U12 Kestrels, Robin Hale”: ended on" in told
