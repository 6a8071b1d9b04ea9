"""Coaches of a pasted table: one person on several squads, and a name alone is asked about."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from clubplanner.inputs.pasting.kinds import SQUADS
from clubplanner.inputs.reading.sheets import read_pasted
from clubplanner.services.pasting.sent import SentTable
from clubplanner.services.pasting.tables import look_at_table, take_table
from clubplanner.services.rows.snapshot import load_squads
from tests.builders import NOW
from tests.small_club import SQUADS as KNOWN
from tests.small_club import load_small_club

if TYPE_CHECKING:
    from clubplanner.inputs.pasting.understanding import Asked
    from clubplanner.services.pasting.tables import TableLook
    from clubplanner.store.engine import Store
    from tests.stores import Filled

HEAD = "squad,age group,players,coach,coach e-mail,sessions a week,minutes,possible\n"
REST = "1,60,Mon 17:00-19:00\n"
ROBIN = "robin@alderby.example"


def load_with_address(store: Store) -> None:
    """Load the small club; Robin Hale has a mail address."""
    squads = KNOWN.replace(",coach,", ",coach,coach e-mail,")
    squads = squads.replace("Robin Hale,", f"Robin Hale,{ROBIN},").replace("Reed,", "Reed,,")
    load_small_club(store, squads=squads)


def sent(*rows: str) -> SentTable:
    """Return a pasted table of squads: name, coach and mail address each."""
    lines = [f"{squad},U9,9,{coach},{email},{REST}" for squad, coach, email in
             (row.split("|") for row in rows)]  # fmt: skip
    (sheet,) = read_pasted(HEAD + "".join(lines), "pasted").sheets
    return SentTable(SQUADS, sheet.rows)


def asked(store: Store, table: SentTable) -> tuple[Asked, ...]:
    """Return what is asked about coaches."""
    return tuple(one for one in look_at_table(store, table, NOW).taken.asked)


def answered(table: SentTable, one: Asked, text: str) -> SentTable:
    """Return the table with an answer in all cells that a question is about."""
    rows = [list(row) for row in table.rows]
    for number in one.rows:
        rows[number - 1][one.place] = text
    return replace(table, rows=rows)


def taken(store: Store, table: SentTable) -> TableLook:
    """Take a table in, which has to go without a question."""
    look = take_table(store, table, NOW)
    assert look.taken.asked == ()
    assert look.taken.problems == ()
    return look


def coaches(store: Store) -> dict[str, tuple[int, str, str]]:
    """Return number, name and address of each squad's first coach."""
    with store.read() as session:
        return {
            squad.name: (c.number, c.name, c.email)
            for squad in load_squads(session)
            for c in squad.coaches[:1]
        }


def test_one_address_on_two_squads_is_one_person(small: Store) -> None:
    """Typed twice with an address, nobody is asked anything."""
    taken(small, sent("U8 Larks|Kit Ames|kit@x.example", "U9 Terns|Kit Ames|kit@x.example"))
    found = coaches(small)
    assert found["U8 Larks"] == found["U9 Terns"]


def test_a_name_on_two_squads_without_an_address_is_asked_about_once(small: Store) -> None:
    """One question for all of them; answered with one person, it is one."""
    table = sent("U8 Larks|Kit Ames|", "U9 Terns|Kit Ames|", "U10 Owls|Al Crane|")
    (one,) = asked(small, table)
    assert one.rows == (2, 3)
    assert "U8 Larks, U9 Terns" in one.faults[0]
    taken(small, answered(table, one, one.choices[0]))
    found = coaches(small)
    assert found["U8 Larks"] == found["U9 Terns"]
    assert found["U8 Larks"][1:] == ("Kit Ames", "")


def test_a_name_that_is_known_is_asked_about(small: Store) -> None:
    """Somebody of that name coaches another squad already: meant or not, it is said."""
    table = sent("U8 Larks|robin  hale|")
    (one,) = asked(small, table)
    assert "U12 Kestrels" in one.faults[0]
    taken(small, answered(table, one, one.choices[0]))
    found = coaches(small)
    assert found["U8 Larks"][0] == found["U12 Kestrels"][0]


def test_somebody_else_of_a_known_name_is_told_by_an_address(small: Store) -> None:
    """Written behind the name, it parts the two."""
    table = sent("U8 Larks|Robin Hale|")
    (one,) = asked(small, table)
    taken(small, answered(table, one, "Robin Hale <other@x.example>"))
    found = coaches(small)
    assert found["U8 Larks"][0] != found["U12 Kestrels"][0]
    assert found["U8 Larks"][1:] == ("Robin Hale", "other@x.example")


def test_whoever_is_known_with_an_address_is_offered_with_it(filled: Filled) -> None:
    """Chosen, it is the same person, and the address stays theirs."""
    store = filled(load_with_address)
    table = sent("U8 Larks|Robin Hale|")
    (one,) = asked(store, table)
    assert one.choices == (f"Robin Hale <{ROBIN}>",)
    taken(store, answered(table, one, one.choices[0]))
    found = coaches(store)
    assert found["U8 Larks"] == found["U12 Kestrels"]


def test_an_address_in_another_row_is_offered(small: Store) -> None:
    """Where one row has the address and another has not, it is not guessed that they are one."""
    table = sent("U8 Larks|Kit Ames|kit@x.example", "U9 Terns|Kit Ames|")
    (one,) = asked(small, table)
    assert (one.rows, one.choices) == ((3,), ("Kit Ames <kit@x.example>",))
    taken(small, answered(table, one, one.choices[0]))
    found = coaches(small)
    assert found["U8 Larks"] == found["U9 Terns"]


def test_a_squads_own_coach_is_no_question(small: Store) -> None:
    """A table that names who coaches already is taken in as it is."""
    before = coaches(small)["U12 Kestrels"]
    taken(small, sent("U12 Kestrels|Robin Hale|", "U8 Larks|Kit Ames|"))
    assert coaches(small)["U12 Kestrels"] == before


def test_a_second_name_in_the_cell_is_kept(small: Store) -> None:
    """The answer is about the first of two people in a cell."""
    table = sent("U8 Larks|Robin Hale / Kim Vale|")
    (one,) = asked(small, table)
    taken(small, answered(table, one, one.choices[0]))
    with small.read() as session:
        (larks,) = (squad for squad in load_squads(session) if squad.name == "U8 Larks")
    assert [c.name for c in larks.coaches] == ["Robin Hale", "Kim Vale"]


@pytest.mark.parametrize("text", ["Robin Hale <not an address>", "Robin Hale <a@b"])
def test_an_address_behind_a_name_that_is_none_is_told(small: Store, text: str) -> None:
    """At its cell, with what to do."""
    found = asked(small, sent(f"U8 Larks|{text}|"))
    assert found != ()


def test_names_in_other_scripts_are_asked_about_alike(small: Store) -> None:
    """An Arabic name on two squads is one question with one answer."""
    table = sent("U8 Larks|محمد علي|", "U9 Terns|محمد علي|")
    (one,) = asked(small, table)
    taken(small, answered(table, one, one.choices[0]))
    found = coaches(small)
    assert found["U8 Larks"] == found["U9 Terns"]


def test_an_address_beside_a_known_name_without_one_is_asked_about(small: Store) -> None:
    """It may be theirs, or somebody else's; chosen as theirs, they have it from then on."""
    table = sent("U8 Larks|Robin Hale|new@x.example")
    (one,) = asked(small, table)
    assert one.choices == ("Robin Hale (=)", "Robin Hale <new@x.example>")
    taken(small, answered(table, one, one.choices[0]))
    found = coaches(small)
    assert found["U8 Larks"] == found["U12 Kestrels"]
    assert found["U8 Larks"][2] == "new@x.example"
