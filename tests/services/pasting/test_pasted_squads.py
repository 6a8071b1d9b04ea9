"""Squads of a table as clubs have them: understood, put over what is known, taken in as a whole."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import select

from clubplanner.inputs.pasting.kinds import LEFT_OUT, SQUADS
from clubplanner.inputs.pasting.understanding import NOWHERE, Said
from clubplanner.inputs.reading.sheets import read_pasted
from clubplanner.language import speaking
from clubplanner.services.pasting.sent import CHANGED, NEW, RENAMED, SAME, SentTable
from clubplanner.services.pasting.tables import look_at_table, take_table
from clubplanner.services.rows.snapshot import load_asks, load_squads
from clubplanner.services.setup.squads.forms import write_squads_file
from clubplanner.store.tables.squad_tables import SquadRow
from tests.builders import NOW
from tests.small_club import HARRIERS, KESTRELS, book

if TYPE_CHECKING:
    from clubplanner.domain.club.squads import Ask, Squad
    from clubplanner.services.pasting.tables import TableLook
    from clubplanner.store.engine import Store

GERMAN = """\
SV Musterdorf – Trainingsbelegung 2026/27;;;;;;;

Mannschaft;Altersklasse;Spieler;Trainer;E-Mail;Trainingstage;Zeit;Platzbedarf
Falken;U 11;16;Max Ulmer / Lena Lang;max@ulmer.example;Mo+Mi;17.30–19 Uhr;halber Platz
Milane;U 11;ca. 14;Ina Roth;ina@roth.example;Dienstag, Do;17:00 bis 18:30;Drittel
;;;;;Fr;16-17:30;
Stand: 1.8.2026
"""


def sent(text: str, **values: object) -> SentTable:
    """Return a pasted table of squads."""
    (sheet,) = read_pasted(text, "pasted").sheets
    return replace(SentTable(SQUADS, sheet.rows), **values)  # type: ignore[arg-type]


def taken(store: Store, table: SentTable) -> TableLook:
    """Take a table in, which has to go without a question."""
    look = take_table(store, table, NOW)
    assert look.taken.asked == ()
    assert look.taken.problems == ()
    return look


def squads_of(store: Store) -> dict[str, Squad]:
    """Return the squads by key."""
    with store.read() as session:
        return {squad.key: squad for squad in load_squads(session)}


def asks_of(store: Store, key: str) -> list[Ask]:
    """Return what a squad asks for."""
    with store.read() as session:
        return [ask for _number, ask in load_asks(session) if ask.squad_key == key]


def test_a_german_table_with_a_title_is_taken_in_as_it_is(small: Store) -> None:
    """Title, merged names and remarks are no hindrance; sessions and minutes follow from times."""
    look = taken(small, sent(GERMAN))
    assert look.sent.heading_row == 3
    assert sorted(look.sent.said.left_out) == [7]
    falken = squads_of(small)["falken"]
    assert (falken.age_group, falken.players) == ("U11", 16)
    assert (falken.coach, falken.coach_email) == ("Max Ulmer", "max@ulmer.example")
    assert [one.name for one in falken.assistants] == ["Lena Lang"]
    (ask,) = asks_of(small, "falken")
    assert (ask.sessions, ask.minutes, ask.least_ground.share) == (2, 90, 0.5)
    assert [str(window) for window in ask.possible] == ["Mon 17:30-19:00", "Wed 17:30-19:00"]
    twice = asks_of(small, "milane")
    assert [(ask.sessions, ask.minutes) for ask in twice] == [(2, 90), (1, 90)]


def test_squads_that_a_table_leaves_out_keep_asking_unless_it_has_all(small: Store) -> None:
    """Nobody loses an ask because somebody pasted a part of the list."""
    taken(small, sent(GERMAN))
    assert asks_of(small, KESTRELS)
    look = taken(small, sent(GERMAN, is_all=True))
    assert asks_of(small, KESTRELS) == []
    assert [key for key, _name in look.taken.left_over] == [KESTRELS, HARRIERS]


def test_looking_changes_nothing(small: Store) -> None:
    """A look is a look, with or without questions."""
    before = write_squads_file(small)
    look = look_at_table(small, sent(GERMAN), NOW)
    assert [change.what for change in look.taken.changes] == [NEW, NEW]
    assert look.can_be_taken
    assert write_squads_file(small) == before


def test_what_the_table_says_nothing_of_stays(small: Store) -> None:
    """A list of players brings their number up to date and leaves every ask alone."""
    before = asks_of(small, KESTRELS)
    look = taken(small, sent("Team\tPlayers\nU12 Kestrels\t17\nU14 Harriers\t16\n"))
    assert [change.what for change in look.taken.changes] == [CHANGED, SAME]
    assert look.taken.changes[0].details == (("players", "14", "17"),)
    assert squads_of(small)[KESTRELS].players == 17
    assert asks_of(small, KESTRELS) == before


def test_another_coach_does_not_inherit_the_address(small: Store) -> None:
    """A new name without an address beside it is another person, not a corrected name."""
    taken(small, sent("Team,Coach,E-mail\nU12 Kestrels,Robin Hale,robin@hale.example\n"))
    taken(small, sent("Team,Coach\nU12 Kestrels,Nell Marsh\n"))
    squad = squads_of(small)[KESTRELS]
    assert (squad.coach, squad.coach_email) == ("Nell Marsh", "")
    with small.read() as session:
        (row,) = session.scalars(select(SquadRow).where(SquadRow.key == KESTRELS))
        assert [one.person.name for one in row.coaches] == ["Nell Marsh"]


def test_a_squad_that_changed_its_name_is_proposed_and_keeps_all(small: Store) -> None:
    """Same coach, a year older: U12 Kestrels become U13 Kestrels, with bookings and wishes."""
    wish = "squad,players,sessions a week,minutes,possible,other squads\n"
    wish += "U14 Harriers,16,2,60,Mon-Fri 18:00-20:00,beside U12 Kestrels = 2\n"
    taken(small, sent(wish))
    book(small)
    number = squads_of(small)[KESTRELS]
    table = sent("Team,Age,Players,Coach\nU13 Kestrels,U13,15,Robin Hale\n")
    look = look_at_table(small, table, NOW)
    (change,) = look.taken.changes
    assert (change.what, change.was) == (RENAMED, KESTRELS)
    taken(small, table)
    assert KESTRELS not in squads_of(small)
    renamed = squads_of(small)["u13-kestrels"]
    assert (renamed.name, renamed.players) == ("U13 Kestrels", 15)
    assert renamed.coaches[0].number == number.coaches[0].number
    assert asks_of(small, "u13-kestrels")[0].minutes == 75
    (harriers,) = asks_of(small, HARRIERS)
    assert [one.squad_key for one in harriers.partners] == ["u13-kestrels"]


def test_a_squad_can_be_new_all_the_same(small: Store) -> None:
    """What is proposed is not done when the person says otherwise."""
    text = "Team,Age,Players,Coach,Days,Time\nU13 Kestrels,U13,15,Nell Marsh,Mon,18-19:30\n"
    taken(small, sent(text, renamed={"u13-kestrels": ""}))
    assert {KESTRELS, "u13-kestrels"} <= set(squads_of(small))


def test_every_question_is_about_a_cell_and_several_may_stand_in_one(small: Store) -> None:
    """What is not understood is asked, with what was typed; nothing is written meanwhile."""
    before = write_squads_file(small)
    text = (
        "Mannschaft;Altersklasse;Spieler;Tage;Zeit;Platz\n"
        "Sperber;D-Jugend;viele;Blurgstag, Quarktag;19-21 Uhr;groß\n"
        "Bussarde;D-Jugend;12;Mo;5-7;Drittel\n"
    )
    look = take_table(small, sent(text), NOW)
    assert write_squads_file(small) == before
    asked = {(one.column, one.typed): one for one in look.taken.asked}
    assert asked["age group", "D-Jugend"].rows == (2, 3)
    assert asked["age group", "D-Jugend"].choices == ("U13", "U12")
    assert len(asked["days", "Blurgstag, Quarktag"].faults) == 2
    assert asked["times", "5-7"].choices == ("05:00-07:00", "17:00-19:00")
    assert {"viele", "groß"} <= {typed for _column, typed in asked}
    assert len(asked) == 5, "and nothing that only follows from these"


def test_what_the_table_lacks_is_asked_once_for_all(small: Store) -> None:
    """A table without numbers of players asks for them, and takes one number for every row."""
    text = "Team,Day,Time\nSwifts,Tue,17-18:30\nMartins,Thu,17-18:30\n"
    look = look_at_table(small, sent(text), NOW)
    assert {(one.place, one.column) for one in look.taken.asked} == {(NOWHERE, "players")}
    taken(small, sent(text, said=Said(for_all={"players": "12"})))
    assert squads_of(small)["swifts"].players == 12


def test_rules_of_the_file_are_told_at_the_cell(small: Store) -> None:
    """What is well written and cannot be is told by the files' own reader, where it stands."""
    text = "Team,Players,Keepers,Sessions,Minutes,When\nSwifts,12,13,3,90,Mon-Tue 17-18:30\n"
    look = look_at_table(small, sent(text), NOW)
    assert [(one.rows, one.place, one.column) for one in look.taken.asked] == [
        ((2,), 2, "goalkeepers"),
        ((2,), 3, "sessions a week"),
    ]


def test_headings_are_said_once(small: Store) -> None:
    """What a club said of a heading holds for its next table, left-out columns too."""
    text = "Haufen,Leute,Spieler\nSwifts,12,x\n"
    columns = ("squad", "players", LEFT_OUT)
    said = Said(for_all={"possible": "Tue 17-18:30"})
    taken(small, sent(text, columns=columns, said=said))
    look = look_at_table(small, sent("HAUFEN;Spieler;Leute\nSwifts;x;13\n", said=said), NOW)
    assert look.table.columns == ("squad", LEFT_OUT, "players")
    assert not look.unsure


def test_a_table_without_headings_is_known_by_its_cells(small: Store) -> None:
    """Names, addresses, days with times are told by what they look like."""
    text = (
        "Swifts\tU9\tkim@vale.example\tDi 17-18 Uhr\nMartins\tU9\tlee@orr.example\tDo 17-18 Uhr\n"
    )
    look = look_at_table(small, sent(text), NOW)
    assert look.sent.heading_row == 0
    assert look.table.columns == ("squad", "age group", "coach e-mail", "possible")


def test_our_own_file_is_read_alike(small: Store) -> None:
    """The squads file of today, pasted, changes nothing."""
    look = taken(small, sent(write_squads_file(small).decode()))
    assert {change.what for change in look.taken.changes} == {SAME}


def test_a_table_without_names_is_not_taken_in(small: Store) -> None:
    """Without the column of names there is nobody it is about."""
    look = take_table(small, sent("Spieler,Dauer\n12,90\n"), NOW)
    assert [problem.code for problem in look.taken.problems] == ["missing-column"]


@pytest.mark.parametrize("language", ["en", "de"])
def test_a_surface_nobody_has_is_told_at_its_cell_in_every_language(
    small: Store, language: str
) -> None:
    """Whatever is spoken, the fault of a surface that no pitch has leads to its cell."""
    text = (
        "squad,players,sessions a week,minutes,possible,surface\nA,9,1,60,Mon 18:00-20:00,indoor\n"
    )
    with speaking(language):
        look = look_at_table(small, sent(text), NOW)
    assert {(one.column, one.rows) for one in look.taken.asked} <= {("surface", (2,))}
