"""Whom a squads file means: people who are known, corrected, or new."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from clubplanner.domain.club.people import Role
from clubplanner.errors import FaultyInputError
from clubplanner.inputs.club_files.club_file import ClubFile
from clubplanner.services.people.people import PersonDraft, add_person, see_person
from clubplanner.services.rows.snapshot import load_squads
from clubplanner.services.setup.loading import load_files
from clubplanner.services.setup.squads.first_coach import OTHER, SAME
from clubplanner.services.setup.squads.forms import save_squad, see_squad_form
from tests.builders import NOW
from tests.small_club import HARRIERS, KESTRELS, SQUADS, load_small_club

if TYPE_CHECKING:
    from clubplanner.domain.club.persons.coaches import Coach
    from clubplanner.store.engine import Store

HEAD = SQUADS.partition("\n")[0].replace("coach", "coach,coach e-mail,coach phone,assistants")
ROWS = (
    "U12 Kestrels,U12,14,1,{},1,75,Wed 18:00-19:15,third\n",
    "U14 Harriers,U14,16,2,{},2,60,Mon-Fri 18:00-20:00,third\n",
)
ROBIN = "Robin Hale,robin@x.example,01632 960001,Kim Vale"


def squads(kestrels: str = ROBIN, harriers: str = "Sam Reed,,,") -> str:
    """Return the squads file with these cells about coaches."""
    return "\n".join([HEAD, ROWS[0].format(kestrels) + ROWS[1].format(harriers)])


@pytest.fixture
def store(empty_store: Store) -> Store:
    """Give the small club: Robin and an assistant, and Sam without an address."""
    return load_small_club(empty_store, squads=squads())


def load(store: Store, text: str) -> tuple[str, ...]:
    """Load a squads file and return what was said of it."""
    return load_files(store, [ClubFile("squads.csv", text.encode())], NOW).lines


def coaches(store: Store, key: str = KESTRELS) -> tuple[Coach, ...]:
    """Return the coaches of a squad, the first one first."""
    with store.read() as session:
        return next(squad.coaches for squad in load_squads(session) if squad.key == key)


def test_what_a_file_leaves_blank_stays_as_it_is_known(store: Store) -> None:
    """Address, number, and without their column the assistants."""
    before = coaches(store)
    load(store, squads("Robin Hale,,,Kim Vale"))
    assert coaches(store) == before
    load(store, SQUADS)
    assert coaches(store) == before
    load(store, squads("Robin Hale,,,"))
    assert coaches(store) == before[:1]


def test_the_same_again_changes_nobody(store: Store) -> None:
    """However the address is written."""
    before = coaches(store), coaches(store, HARRIERS)
    load(store, squads(ROBIN.replace("robin@", "Robin@")))
    assert [c.number for c in coaches(store)] == [c.number for c in before[0]]
    assert coaches(store, HARRIERS) == before[1]


def test_a_coach_of_the_same_name_has_another_address_now(store: Store) -> None:
    """Unless the one that is known is still in the file: then these are two."""
    (robin, _kim) = coaches(store)
    load(store, squads("Robin Hale,new@x.example,,"))
    (moved,) = coaches(store)
    assert (moved.number, moved.email) == (robin.number, "new@x.example")
    load(store, squads("Robin Hale,third@x.example,,", "Robin Hale,new@x.example,,"))
    (harriers,) = coaches(store, HARRIERS)
    (kestrels,) = coaches(store)
    assert harriers.number == robin.number != kestrels.number


def test_a_correction_in_one_row_holds_for_all(store: Store) -> None:
    """The other rows may have the name of before."""
    both = squads(ROBIN, "Robin Hale,robin@x.example,,")
    load(store, both)
    load(store, both.replace("Robin Hale", "Robyn Hale", 1))
    assert coaches(store)[0] == coaches(store, HARRIERS)[0]
    assert coaches(store)[0].name == "Robyn Hale"


def test_one_address_beside_two_new_names_is_refused(store: Store) -> None:
    """It cannot be told which is right, or whether they are two; nothing is changed."""
    before = coaches(store)
    with pytest.raises(FaultyInputError) as told:
        load(store, squads("Ann,robin@x.example,,", "Bea,robin@x.example,,"))
    (problem,) = told.value.problems
    assert "robin@x.example stands beside several names (Ann, Bea)" in problem.message
    assert coaches(store) == before


def test_a_hand_over_by_file_is_said(store: Store) -> None:
    """So that a slip of the pen is seen."""
    lines = load(store, squads("Robin Hail,,,"))
    assert "U12 Kestrels pass from Robin Hale to Robin Hail" in lines


def test_somebody_who_signs_in_is_found_by_their_address(store: Store) -> None:
    """An account and a coach with one address are one person, who keeps the account."""
    number = add_person(store, PersonDraft("Ann Ode", Role.COACH, "ann@x.example"), NOW)
    load(store, squads("Ann Ode,ANN@x.example,,"))
    assert coaches(store)[0].number == number
    assert see_person(store, number).may_sign_in
    assert see_person(store, number).squad_keys == (KESTRELS,)


def test_a_form_hands_a_squad_over(store: Store) -> None:
    """Who had it stays known; an address that is theirs is not taken for another."""
    (robin, kim) = coaches(store)
    form = see_squad_form(store, KESTRELS)
    cells = {**form.squad, "coach": "Ann Ode", "coach phone": ""}
    with pytest.raises(FaultyInputError) as told:
        save_squad(store, KESTRELS, cells, form.asks, form.seen, NOW, OTHER)
    assert told.value.problems[0].where == "coach e-mail"
    cells["coach e-mail"] = ""
    save_squad(store, KESTRELS, cells, form.asks, form.seen, NOW, OTHER)
    ann, still = coaches(store)
    assert (ann.name, ann.email, still.number) == ("Ann Ode", "", kim.number)
    assert ann.number != robin.number


def test_a_form_tells_two_of_one_name_apart_by_address(store: Store) -> None:
    """Father and daughter of one name: the second needs an address."""
    (robin, _kim) = coaches(store)
    form = see_squad_form(store, KESTRELS)
    cells = {**form.squad, "coach e-mail": "", "coach phone": ""}
    with pytest.raises(FaultyInputError) as told:
        save_squad(store, KESTRELS, cells, form.asks, form.seen, NOW, OTHER)
    assert told.value.problems[0].code == "missing"
    cells["coach e-mail"] = "young@x.example"
    save_squad(store, KESTRELS, cells, form.asks, form.seen, NOW, OTHER)
    assert coaches(store)[0].number != robin.number
    assert coaches(store)[0].name == "Robin Hale"


def test_a_form_changes_address_and_number_of_who_is_there(store: Store) -> None:
    """What is emptied is empty, unlike in a file; an address of somebody else's is refused."""
    (robin, _kim) = coaches(store)
    form = see_squad_form(store, KESTRELS)
    cells = {**form.squad, "coach e-mail": "", "coach phone": "0161 4960002"}
    save_squad(store, KESTRELS, cells, form.asks, form.seen, NOW)
    (now, _kim) = coaches(store)
    assert (now.number, now.email, now.phone) == (robin.number, "", "0161 4960002")
    add_person(store, PersonDraft("Ann Ode", Role.COACH, "ann@x.example"), NOW)
    form = see_squad_form(store, KESTRELS)
    cells = {**form.squad, "coach": "Robyn Hale", "coach e-mail": "ann@x.example"}
    with pytest.raises(FaultyInputError) as told:
        save_squad(store, KESTRELS, cells, form.asks, form.seen, NOW, SAME)
    assert "Ann Ode already has this e-mail address" in told.value.problems[0].message
