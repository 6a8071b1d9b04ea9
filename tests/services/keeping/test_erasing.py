"""Somebody is erased: nothing of them is left, the past stays, and it is looked at first."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import select

from clubplanner.domain.club.people import Role
from clubplanner.domain.club.persons.traces import Traces
from clubplanner.errors import MissingError, RefusedError
from clubplanner.services.journal.changes import list_changes, undo_change
from clubplanner.services.keeping.erasing import erase, foresee_erasing
from clubplanner.services.keeping.subjects import Subject
from clubplanner.services.people.people import PersonDraft, add_person, list_people
from clubplanner.services.rows.people.people_rows import new_coach
from clubplanner.store.journal.journal import describe_change
from clubplanner.store.personal import MARKS
from clubplanner.store.personal_kinds import REWRITTEN, Fate
from clubplanner.store.stand import read_stand
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.people_tables import PersonRow
from clubplanner.store.tables.season_tables import ChangedBookingRow, ChangeRow
from clubplanner.store.upkeep.migrate import check_store
from tests.builders import NOW
from tests.records import place_of
from tests.services.keeping.planted import NAME, SIGNS, plant, where_found
from tests.small_club import book

if TYPE_CHECKING:
    from clubplanner.store.engine import Store


def person_number(store: Store, name: str) -> int:
    """Return the number of somebody."""
    with store.read() as session:
        return session.scalars(select(PersonRow.id).where(PersonRow.name == name)).one()


def test_nothing_is_left_of_somebody_anywhere(lived: Store) -> None:
    """They stood in every column that can hold somebody, and stand in none; the guard stands."""
    number = plant(lived)
    columns = {
        f"{name}.{column}"
        for name, marks in MARKS.items()
        for column in marks.holding(*REWRITTEN)
        if marks.fate is not Fate.STAYS
    }
    assert columns - set(where_found(lived)) == set()
    done = erase(lived.acting_for("Kim Ashby"), Subject(person=number), NOW)
    assert done.rows > 30
    assert done.is_wiped
    assert where_found(lived) == []
    check_store(lived)


@pytest.mark.files
def test_nothing_is_left_in_the_files(lived: Store) -> None:
    """Free space and the log are as clean as the tables, while readers come and go."""
    path = place_of(lived)
    number = plant(lived)
    with lived.read() as session:
        session.scalars(select(PersonRow)).all()
    files = [path, path.with_name(f"{path.name}-wal")]
    assert any(sign in file.read_bytes() for file in files for sign in SIGNS)
    assert erase(lived, Subject(person=number), NOW).is_wiped
    for file in files:
        assert [sign for sign in SIGNS if sign in file.read_bytes()] == []
    with closing(sqlite3.connect(path)) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert connection.execute("PRAGMA foreign_key_check").fetchall() == []


@pytest.mark.files
def test_a_reader_of_before_keeps_the_file_from_being_cleaned(lived: Store) -> None:
    """What somebody still reads is there; it is said that the file was not wiped, and done later.

    SQLite folds its log in only as far as no reader still needs what is below it.
    """
    number = plant(lived)
    with lived.read() as reader:
        reader.scalars(select(PersonRow)).all()
        assert not erase(lived, Subject(person=number), NOW).is_wiped
    assert where_found(lived) == []
    path = place_of(lived)
    assert lived.wipe()
    for file in (path, path.with_name(f"{path.name}-wal")):
        assert [sign for sign in SIGNS if sign in file.read_bytes()] == []


def test_the_past_stays_and_follows_from_itself(lived: Store) -> None:
    """Bookings keep place and time, and what a change found is what the one before it left."""
    plant(lived)
    number = person_number(lived, NAME)

    def past() -> list[tuple[object, ...]]:
        with lived.read() as session:
            rows = session.scalars(select(BookingRow).order_by(BookingRow.id))
            return [(r.id, r.uid, r.pitch_id, r.starts_at, r.ends_at, r.sequence) for r in rows]

    before, counted = past(), _stand(lived)
    erase(lived, Subject(person=number), NOW)
    assert past() == before
    assert _stand(lived) > counted
    with lived.read() as session:
        was: dict[int, dict[str, object]] = {}
        for row in session.scalars(select(ChangedBookingRow).order_by(ChangedBookingRow.id)):
            if row.booking_id in was and row.before is not None:
                assert row.before["holder"] == was[row.booking_id]["holder"]
            was[row.booking_id] = row.after


def _stand(store: Store) -> int:
    with store.read() as session:
        return read_stand(session)


def test_the_journal_says_that_and_not_who(small: Store) -> None:
    """One change, by whoever did it, that cannot be taken back and says so."""
    number = add_person(small, PersonDraft("Jo Vale", Role.COACH, "jo@vale.example"), NOW)
    booked = book(small)
    with small.acting_for("Jo Vale").write() as session:
        booking = session.get_one(BookingRow, booked)
        booking.note = "Jo Vale has the key"
        describe_change(session, "noted that Jo Vale has the key")
    erase(small.acting_for("Kim Ashby"), Subject(person=number), NOW)
    changes = list_changes(small, NOW)
    assert (changes[0].by, changes[0].words) == ("Kim Ashby", "erased what was kept of somebody")
    assert changes[0].obstacles == ("What was erased cannot be put back.",)
    with pytest.raises(RefusedError, match="cannot be put back"):
        undo_change(small, changes[0].number, NOW)
    assert changes[1].by == "somebody erased"
    assert changes[1].words == "noted that somebody erased has the key"
    with small.read() as session:
        assert (
            len(session.scalars(select(ChangeRow).where(ChangeRow.words.contains("Vale"))).all())
            == 0
        )


def test_their_number_is_given_to_nobody_else(small: Store) -> None:
    """What refers to a person of the past never comes to mean another."""
    number = add_person(small, PersonDraft("Jo Vale", Role.COACH, ""), NOW)
    erase(small, Subject(person=number), NOW)
    assert add_person(small, PersonDraft("Jo Vale", Role.COACH, ""), NOW) > number
    with pytest.raises(MissingError):
        erase(small, Subject(person=number), NOW)


def test_a_coach_hands_over_first(small: Store) -> None:
    """Who still coaches is named with the squads, and nothing is erased."""
    robin = person_number(small, "Robin Hale")
    foreseen = foresee_erasing(small, Subject(person=robin), NOW)
    assert foreseen.obstacles == (
        "Robin Hale still coaches U12 Kestrels; hand over the squads first.",
    )
    with pytest.raises(RefusedError, match="hand over the squads first"):
        erase(small, Subject(person=robin), NOW)
    assert person_number(small, "Robin Hale") == robin


def test_a_name_that_two_have_stays_where_only_the_name_stands(small: Store) -> None:
    """Nobody can tell who is meant, and that is said before; what is theirs by number goes."""
    with small.write() as session:
        namesake = new_coach("Sam Reed", "sam@reed.example", NOW)
        session.add(namesake)
        session.flush()
        one = namesake.id
    number = book(small, "Sam Reed", "third-3")
    foreseen = foresee_erasing(small, Subject(person=one), NOW)
    assert any("Somebody else is called Sam Reed, too." in words for words in foreseen.cautions)
    erase(small, Subject(person=one), NOW)
    with small.read() as session:
        assert session.get_one(BookingRow, number).holder == "Sam Reed"
        assert session.get_one(PersonRow, one).name == ""
    assert "Sam Reed" in {line.person.name for line in list_people(small, NOW)}


def test_somebody_without_a_number_is_erased_by_name(small: Store) -> None:
    """An official, a parent, whoever is named in a remark."""
    number = book(small, note="Ask Lee Orr (01632 960555) for the key")
    typed = Traces(("Lee Orr",), (), ("01632 960555",))
    erase(small, Subject(typed=typed), NOW)
    with small.read() as session:
        note = session.get_one(BookingRow, number).note
    assert note == "Ask somebody erased (somebody erased) for the key"


def test_who_is_among_the_people_is_erased_there(small: Store) -> None:
    """A typed name does not empty a person who still signs in or coaches."""
    typed = Subject(typed=Traces(("robin hale",)))
    with pytest.raises(RefusedError, match="among the people"):
        erase(small, typed, NOW)


def test_nothing_typed_erases_nothing(small: Store) -> None:
    """A blank name would be everybody's."""
    with pytest.raises(RefusedError, match="Enter a name"):
        erase(small, Subject(typed=Traces()), NOW)


def test_a_squads_coach_of_before_can_go(small: Store) -> None:
    """Who coached stays as a number; a squad's pages and its past open without a name."""
    with small.write() as session:
        robin = session.get_one(PersonRow, person_number(small, "Robin Hale"))
        for one in robin.squads:
            for coach in list(one.coaches):
                coach.ended_at = NOW
        number = robin.id
    erase(small, Subject(person=number), NOW)
    with small.read() as session:
        row = session.get_one(PersonRow, number)
        assert (row.name, row.email, row.phone, row.may_sign_in) == ("", "", "", False)
