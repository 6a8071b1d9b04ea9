"""The journal of squads, breaks, pitches and other records: noted, in words, taken back."""

from __future__ import annotations

import json
from contextlib import suppress
from datetime import date
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import select

from clubplanner.domain.club.people import Role
from clubplanner.errors import RefusedError
from clubplanner.inputs.club_files.club_file import ClubFile
from clubplanner.language import sentence
from clubplanner.services.evening.notice_board import turn_board
from clubplanner.services.journal.change_table import changes_table
from clubplanner.services.journal.changes import list_changes, undo_change
from clubplanner.services.people.people import PersonDraft, add_person, end_access, see_person
from clubplanner.services.people.ways_in.passwords import create_secretary_key
from clubplanner.services.season.grass.wear import set_limit_by_guidance
from clubplanner.services.season.squads.own_seasons import set_squad_season
from clubplanner.services.season.year import (
    add_break,
    ask_again_about_holiday,
    keep_holiday,
    remove_break,
    save_stretch,
    see_year,
)
from clubplanner.services.setup.loading import load_files
from clubplanner.store.tables.club_tables import BreakRow
from clubplanner.store.tables.people_tables import PersonRow
from clubplanner.store.tables.season_tables import ChangedRecordRow, WearLimitRow
from clubplanner.store.tables.squad_tables import AskRow, SquadRow
from tests.builders import NOW
from tests.small_club import (
    HARRIERS,
    KESTRELS,
    PITCHES,
    SQUADS,
    book,
    grounds_file,
    load_small_club,
    pitch_feature,
)

if TYPE_CHECKING:
    from clubplanner.services.journal.changes import ChangeLine
    from clubplanner.store.engine import Store

EASTER = date(2027, 3, 26), date(2027, 4, 5)


@pytest.fixture
def small(empty_store: Store) -> Store:
    """Give the small club's database, acting for a person."""
    return load_small_club(empty_store).acting_for("Kim, secretary")


def newest(store: Store) -> ChangeLine:
    """Return the last change."""
    return list_changes(store, NOW)[0]


def load_squads(store: Store, old: str, new: str) -> None:
    """Load the squads file with one passage changed."""
    assert old in SQUADS
    load_files(store, [ClubFile("squads.csv", SQUADS.replace(old, new).encode())], NOW)


def squad(store: Store, key: str) -> tuple[int, list[tuple[int, int]]]:
    """Return how many players a squad has, and sessions and minutes of its asks."""
    with store.read() as session:
        row = session.scalars(select(SquadRow).where(SquadRow.key == key)).one()
        asks = session.scalars(select(AskRow).where(AskRow.squad_id == row.id))
        return row.players, [(ask.sessions, ask.minutes) for ask in asks]


def breaks(store: Store) -> list[str]:
    """Return the names of the breaks."""
    return [gap.name for gap in see_year(store).breaks]


def test_a_squad_noted_before_a_column_was_added_becomes_what_it_was(small: Store) -> None:
    """What an older version did not keep of an ask is read as nothing, and is no later change."""
    old, new = "14,1,Robin Hale,1,75", "17,1,Robin Hale,1,60"
    load_squads(small, old, new)
    with small.write() as session:
        for row in session.scalars(
            select(ChangedRecordRow).where(ChangedRecordRow.sort == "squad")
        ):
            for name in ("before", "after"):
                state = json.loads(json.dumps(getattr(row, name)))
                for ask in (state or {}).get("asks", []):
                    del ask["most_in_a_row"]
                setattr(row, name, state)
    undo_change(small, newest(small).number, NOW)
    assert squad(small, KESTRELS) == (14, [(1, 75)])


def test_loading_is_one_change_that_counts_what_came(small: Store) -> None:
    """Its words name the files; it is not taken back as a whole."""
    (line,) = list_changes(small, NOW)
    assert line.words == "loaded club.toml, marsh-lane.geojson, squads.csv"
    assert line.by == "the planner"
    assert len(line.lines) + line.more == 13, (
        "club, venue, stretch, break, 3 pitches, 2 squads with a coach each, who is a person"
    )
    assert "squad “U12 Kestrels” is new and stays" in " ".join(line.obstacles)


def test_loading_the_same_again_changes_nothing(small: Store) -> None:
    """Asks, breaks and areas are written anew, and are what they were."""
    load_small_club(small)
    assert len(list_changes(small, NOW)) == 1


def test_a_break_is_noted_and_taken_back_and_again(small: Store) -> None:
    """Adding, and taking one out, each with its dates."""
    add_break(small, "Easter", *EASTER, NOW, withdraws=False)
    line = newest(small)
    assert line.lines == ("Break “Easter” added (Fri 26 Mar 2027 to Mon 5 Apr 2027)",)
    assert line.by == "Kim, secretary"
    undone = undo_change(small, line.number, NOW)
    assert breaks(small) == ["Christmas"]
    undo_change(small, undone.number, NOW)
    assert breaks(small) == ["Christmas", "Easter"]
    number = next(gap.number for gap in see_year(small).breaks if gap.name == "Easter")
    assert "no break any more" in remove_break(small, number)
    assert newest(small).words == "break “Easter” taken out"
    undo_change(small, newest(small).number, NOW)
    assert breaks(small) == ["Christmas", "Easter"]


def test_a_squad_and_its_asks_become_what_they_were(small: Store) -> None:
    """What was and what is stands in words; taking it back leaves other squads alone."""
    old, new = "14,1,Robin Hale,1,75,Wed 18:00-19:15", "17,1,Robin Hale,1,60,Wed 18:00-21:00"
    load_squads(small, old, new)
    line = newest(small)
    (words,) = line.lines
    assert words.startswith("Squad “U12 Kestrels”: players 17, was 14; asks for 1 × 60 min in Wed")
    assert words.endswith("in Wed 18:00-21:00, was 1 × 75 min in Wed 18:00-19:15")
    assert squad(small, KESTRELS) == (17, [(1, 60)])
    undo_change(small, line.number, NOW)
    assert squad(small, KESTRELS) == (14, [(1, 75)])
    assert squad(small, HARRIERS) == (16, [(2, 60)])


def test_what_was_changed_since_has_to_be_taken_back_first(small: Store) -> None:
    """The obstacle names the later change."""
    load_squads(small, "U12,14,1", "U12,15,1")
    first = newest(small)
    load_squads(small, "U12,14,1", "U12,16,1")
    later = newest(small)
    obstacle = f"squad “U12 Kestrels”: changed again since, by change {later.number}"
    with pytest.raises(RefusedError, match=obstacle):
        undo_change(small, first.number, NOW)
    undo_change(small, later.number, NOW)
    undo_change(small, first.number, NOW)
    assert squad(small, KESTRELS)[0] == 14


def test_stretches_seasons_limits_and_holidays_are_taken_back(small: Store) -> None:
    """Each says what it was."""
    save_stretch(small, "winter", "Winter", date(2026, 10, 12), date(2027, 3, 31))
    assert newest(small).lines == (
        "Stretch “Winter”: last day Wed 31 Mar 2027, was Fri 9 Apr 2027",
    )
    undo_change(small, newest(small).number, NOW)
    assert see_year(small).stretches[0].ends_on == date(2027, 4, 9)
    set_squad_season(small, KESTRELS, date(2026, 11, 2), None)
    assert newest(small).lines[0].startswith("Own season “U12 Kestrels” added (Mon 2 Nov 2026")
    undo_change(small, newest(small).number, NOW)
    set_limit_by_guidance(small, "Low pitch", "undrained", "poor")
    assert newest(small).lines[0].startswith("Limit of use “Low pitch” added")
    undo_change(small, newest(small).number, NOW)
    with small.read() as session:
        assert session.scalars(select(WearLimitRow)).all() == []
    keep_holiday(small, EASTER[0])
    ask_again_about_holiday(small, EASTER[0])
    assert newest(small).words == "training on a public holiday taken out"
    assert newest(small).lines == ("Training on a public holiday taken out (Fri 26 Mar 2027)",)
    undo_change(small, newest(small).number, NOW)
    assert [day.day for day in see_year(small).kept] == []  # no country is set
    assert newest(small).words.startswith("Taken back:")


def test_ground_is_noted_but_changed_back_on_its_own_page(small: Store) -> None:
    """An outline is no sentence: it is said that it changed."""
    other = pitch_feature("Low pitch", 62, 40, cuts=["halves"], floodlights=True)
    load_files(small, [grounds_file(PITCHES[0], other, PITCHES[2])], NOW)
    (words,) = newest(small).lines
    assert words.startswith("Pitch “Low pitch”: floodlights yes, was no; outline changed")
    assert "areas changed" in words
    assert newest(small).obstacles == ("Change it on its own page, or by its file.",)
    with pytest.raises(RefusedError, match="on its own page"):
        undo_change(small, newest(small).number, NOW)


def test_no_secret_and_no_address_of_a_person_is_kept(small: Store) -> None:
    """Names and roles only, of people as of squads."""
    number = add_person(small, PersonDraft("Ada Finch", Role.COACH, "ada@x.example", ()), NOW)
    create_secretary_key(small, NOW)
    load_files(
        small,
        [ClubFile("squads.csv", SQUADS.replace("coach,", "coach,coach e-mail,")
                  .replace("Robin Hale,", "Robin Hale,robin@x.example,")
                  .replace("Sam Reed,", "Sam Reed,sam@x.example,").encode())],
        NOW,
    )  # fmt: skip
    end_access(small, number, see_person(small, number).version, NOW)
    assert newest(small).lines == (
        "Person “Ada Finch”: may sign in no, was yes; ended on Mon 16 Nov 2026, was none",
    )
    with small.read() as session:
        kept = session.scalars(select(ChangedRecordRow)).all()
    text = json.dumps([[row.title, row.before, row.after] for row in kept])
    assert "Ada Finch" in text
    assert "example" not in text
    assert "argon2" not in text


def test_a_switch_is_noted_and_bookings_stay_apart(small: Store) -> None:
    """The notice board's switch is a change; a booking alone has no record beside it."""
    turn_board(small, is_on=True, now=NOW)
    assert newest(small).lines == ("Notice board added",)
    turn_board(small, is_on=False, now=NOW)
    assert newest(small).lines == ("Notice board: on no, was yes",)
    book(small, KESTRELS)
    assert newest(small).words == "1 booking added"


def test_what_was_given_up_is_not_noted(small: Store) -> None:
    """A transaction that fails leaves no change of records either."""
    with suppress(RefusedError), small.write() as session:
        session.scalars(select(SquadRow).where(SquadRow.key == KESTRELS)).one().players = 99
        session.flush()
        raise RefusedError("Given up.")
    assert len(list_changes(small, NOW)) == 1
    assert squad(small, KESTRELS)[0] == 14


def test_a_change_of_one_record_names_it(small: Store) -> None:
    """Whoever takes over reads who was let in, without opening each line; several are counted."""
    number = add_person(small, PersonDraft("Noa Berg", Role.SECRETARY, ""), NOW)
    assert sentence(newest(small).words) == "Person “Noa Berg” added"
    (row, *_older) = changes_table(small).rows
    assert row[3] == "Person “Noa Berg” added"
    with small.write() as session:
        person = session.get_one(PersonRow, number)
        person.role = Role.COACH
        session.add_all(BreakRow(name=n, starts_on=EASTER[0], ends_on=EASTER[1]) for n in "AB")
    assert newest(small).words == "person “Noa Berg” changed, break: 2 added"
