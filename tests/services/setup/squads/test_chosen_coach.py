"""Coaches in the squad's form: chosen from people who are known, typed once."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from clubplanner.domain.club.people import Role
from clubplanner.errors import FaultyInputError
from clubplanner.services.people.people import PersonDraft, add_person
from clubplanner.services.rows.snapshot import load_squads
from clubplanner.services.setup.squads.chosen_coach import SOMEBODY_NEW, ChosenCoaches
from clubplanner.services.setup.squads.forms import NEW, save_squad, see_squad_form
from tests.builders import NOW
from tests.small_club import HARRIERS, KESTRELS

if TYPE_CHECKING:
    from clubplanner.domain.club.persons.coaches import Coach
    from clubplanner.store.engine import Store

ASK = {"sessions a week": "1", "minutes": "60", "possible": "Mon 17:00-19:00"}


def coaches(store: Store, key: str = KESTRELS) -> tuple[Coach, ...]:
    """Return a squad's coaches, the first one first."""
    with store.read() as session:
        return next(squad.coaches for squad in load_squads(session) if squad.key == key)


def save(
    store: Store, first: str = "", assistant: str = "", key: str = KESTRELS, **typed: str
) -> None:
    """Save a squad's form with a choice, and with what was typed besides."""
    form = see_squad_form(store, key)
    cells = {**form.squad, **{name.replace("_", " "): text for name, text in typed.items()}}
    cells = {("coach e-mail" if name == "coach email" else name): c for name, c in cells.items()}
    asks = form.asks or (ASK,)
    save_squad(store, key, cells, asks, form.seen, NOW, "", ChosenCoaches(first, assistant))


def fault(store: Store, first: str = "", assistant: str = "", **typed: str) -> tuple[str, str]:
    """Return place and words of what is told when a form cannot be saved; nothing has changed."""
    before = coaches(store), coaches(store, HARRIERS)
    with pytest.raises(FaultyInputError) as told:
        save(store, first, assistant, **typed)
    assert (coaches(store), coaches(store, HARRIERS)) == before
    return told.value.problems[0].where, told.value.problems[0].message


def test_somebody_known_is_chosen_and_stays_one_person(small: Store) -> None:
    """The same person has two squads then; the form showed the old coach's name, and it goes."""
    (sam,) = coaches(small, HARRIERS)
    save(small, str(sam.number))
    assert [one.number for one in coaches(small)] == [sam.number]
    assert f"{sam.number}" in [choice.value for choice in see_squad_form(small, NEW).people]


def test_a_new_squad_gets_a_coach_who_is_known(small: Store) -> None:
    """With an assistant from the list as well."""
    (robin,), (sam,) = coaches(small), coaches(small, HARRIERS)
    save(small, str(sam.number), str(robin.number), key=NEW, squad="Veterans", players="12")
    assert [one.number for one in coaches(small, "veterans")] == [sam.number, robin.number]


def test_of_two_of_one_name_the_one_chosen_is_meant(small: Store) -> None:
    """Namesakes are told apart in the list, and choosing is never a guess."""
    save(small, SOMEBODY_NEW, coach="Sam Reed", coach_email="young@x.example")
    (sam,), number = coaches(small, HARRIERS), coaches(small)[0].number
    assert number != sam.number
    words = {choice.value: choice.words for choice in see_squad_form(small, KESTRELS).people}
    assert words[str(number)] == "Sam Reed (young@x.example, U12 Kestrels)"
    assert words[str(sam.number)] == "Sam Reed (U14 Harriers)"
    save(small, str(sam.number))
    assert coaches(small)[0].number == sam.number
    save(small, str(number))
    assert coaches(small)[0].number == number


def test_a_known_name_that_is_typed_is_asked_about(small: Store) -> None:
    """Chosen from the list, or somebody new with an address."""
    where, words = fault(small, coach="Sam Reed", coach_email="")
    assert where == "coach_person"
    assert "U14 Harriers" in words
    assert fault(small, SOMEBODY_NEW, coach="Sam Reed")[0] == "coach_person"
    save(small, SOMEBODY_NEW, coach="Sam Reed", coach_email="young@x.example")
    (now,), (sam,) = coaches(small), coaches(small, HARRIERS)
    assert (now.name, now.email) == ("Sam Reed", "young@x.example")
    assert now.number != sam.number
    assert sam.email == ""


def test_an_address_typed_beside_a_known_name_is_not_given_to_them(small: Store) -> None:
    """It may be another Sam's: asked, not guessed; chosen, the one known has it from then on."""
    assert fault(small, coach="Sam Reed", coach_email="sam@x.example")[0] == "coach_person"
    (sam,) = coaches(small, HARRIERS)
    save(small, str(sam.number), coach="Sam Reed", coach_email="sam@x.example")
    assert coaches(small)[0].number == sam.number
    assert coaches(small, HARRIERS)[0].email == "sam@x.example"


def test_somebody_new_takes_the_squad_over_without_another_question(small: Store) -> None:
    """Said in the list, it is a hand-over; a name is needed, and an address that is nobody's."""
    number = add_person(small, PersonDraft("Ann Ode", Role.COACH, "ann@x.example"), NOW)
    assert fault(small, SOMEBODY_NEW, coach="")[0] == "coach"
    assert (
        "Ann Ode already" in fault(small, SOMEBODY_NEW, coach="Bo", coach_email="ann@x.example")[1]
    )
    (robin,) = coaches(small)
    save(small, SOMEBODY_NEW, coach="Nell Marsh")
    assert coaches(small)[0].name == "Nell Marsh"
    assert coaches(small)[0].number not in (robin.number, number)


def test_choice_and_writing_that_contradict_each_other_are_refused(small: Store) -> None:
    """Somebody chosen while another name is written is not overwritten."""
    (sam,) = coaches(small, HARRIERS)
    where, words = fault(small, str(sam.number), coach="Nell Marsh")
    assert where == "coach_person"
    assert "Sam Reed is chosen" in words
    for number in ("9999", "x", "-1", "1" * 30):
        assert fault(small, number)[0] == "coach_person"
        assert fault(small, "", number)[0] == "assistant_person"


def test_a_number_changed_in_one_place_holds_everywhere(small: Store) -> None:
    """With one of their squads' forms for all of them."""
    (sam,) = coaches(small, HARRIERS)
    save(small, str(sam.number))
    save(small, coach_phone="0161 4960002")
    assert coaches(small, HARRIERS)[0].phone == "0161 4960002"
