"""What the file itself holds, whoever opens it, by a connection that knows none of our settings."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import text
from sqlalchemy.exc import IntegrityError

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.store.guard import AREA_MARK, CLASH_MARK, GROUND_MARK, LENGTH_MARK, TWICE_MARK
from tests.small_club import HARRIERS, KESTRELS, LOW, TOP, book, find_area_id, load_small_club

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from clubplanner.store.engine import Store

pytestmark = pytest.mark.files


@pytest.fixture
def small(empty_store: Store) -> Store:
    """Give the small club with two bookings side by side: number 1 and number 2."""
    store = load_small_club(empty_store)
    assert book(store, KESTRELS, "third-1") == 1
    assert book(store, HARRIERS, "third-2") == 2
    return store


@pytest.fixture
def foreign(small: Store, tmp_path: Path) -> Iterator[sqlite3.Connection]:
    """Give a connection of another program: SQLite as it is without any of our settings."""
    assert small.engine.url.database is not None
    with closing(sqlite3.connect(small.engine.url.database)) as connection:
        assert connection.execute("PRAGMA foreign_keys").fetchone() == (0,)
        assert connection.execute("PRAGMA recursive_triggers").fetchone() == (0,)
        yield connection


COPY = (
    "INSERT {way} INTO booking SELECT {number}, {uid}, pitch_id, {area}, {cells}, starts_at, "
    "ends_at, purpose, squad_id, holder, note, is_withdrawn, is_fixed, share_out_id, sequence, "
    "created_at, changed_at, overruled FROM booking WHERE id = 1"
)


def copy_of_first(
    way: str = "", number: str = "99", uid: str = "'x'", area: str = "area_id", cells: str = "cells"
) -> str:
    """Return a statement that books like the first booking, with some columns otherwise."""
    return COPY.format(way=way, number=number, uid=uid, area=area, cells=cells)


def bookings(connection: sqlite3.Connection) -> list[tuple[object, ...]]:
    """Return every booking as it is stored."""
    return connection.execute("SELECT * FROM booking ORDER BY id").fetchall()


def refused(connection: sqlite3.Connection, statement: str, words: str) -> None:
    """Make sure that a statement is refused in these words and changes nothing."""
    before = bookings(connection), connection.execute("SELECT * FROM area").fetchall()
    with pytest.raises(sqlite3.IntegrityError, match=words):
        connection.execute(statement)
    assert (bookings(connection), connection.execute("SELECT * FROM area").fetchall()) == before


@pytest.mark.parametrize(
    "change",
    [
        "cells = (SELECT cells FROM area WHERE id = (SELECT area_id FROM booking WHERE id = 2))",
        "cells = 1 << 40",
        "id = 999",
        "rowid = 999",
        "pitch_id = (SELECT max(id) FROM pitch)",
    ],
)
def test_ground_is_not_changed_under_a_booking(foreign: sqlite3.Connection, change: str) -> None:
    """An area keeps cells, number and pitch as long as it is booked."""
    ours = "WHERE id = (SELECT area_id FROM booking WHERE id = 1)"
    refused(foreign, f"UPDATE area SET {change} {ours}", AREA_MARK)  # noqa: S608
    refused(foreign, f"UPDATE OR REPLACE area SET {change} {ours}", AREA_MARK)  # noqa: S608


def test_ground_without_bookings_may_change(foreign: sqlite3.Connection) -> None:
    """What nobody booked is drawn anew as one likes; withdrawn bookings hold nothing back."""
    foreign.execute("UPDATE booking SET is_withdrawn = 1 WHERE id = 1")
    changed = foreign.execute(
        "UPDATE area SET cells = 1 << 40 WHERE id = (SELECT area_id FROM booking WHERE id = 1)"
    )
    assert changed.rowcount == 1
    refused(foreign, "UPDATE booking SET is_withdrawn = 0 WHERE id = 1", GROUND_MARK)


def test_booked_ground_is_not_deleted_and_free_ground_is(foreign: sqlite3.Connection) -> None:
    """Another program asks nobody whether a booking speaks of an area; withdrawn ones count."""
    foreign.execute("UPDATE booking SET is_withdrawn = 1 WHERE id = 1")
    for number in (1, 2):
        ours = f"WHERE id = (SELECT area_id FROM booking WHERE id = {number})"  # noqa: S608
        refused(foreign, f"DELETE FROM area {ours}", AREA_MARK)  # noqa: S608
    unbooked = "id NOT IN (SELECT area_id FROM booking)"
    free = foreign.execute(f"DELETE FROM area WHERE {unbooked}")  # noqa: S608
    assert free.rowcount > 1


def test_when_ground_was_redrawn_may_be_noted_under_bookings(foreign: sqlite3.Connection) -> None:
    """Cells that stay the same are nobody's loss, whatever else of an area changes."""
    area = "id = (SELECT area_id FROM booking WHERE id = 1)"
    for moment in ("NULL", "5", "(SELECT ends_at + 60 FROM booking WHERE id = 1)"):
        changed = foreign.execute(f"UPDATE area SET redrawn_at = {moment} WHERE {area}")  # noqa: S608
        assert changed.rowcount == 1


def test_what_was_over_when_ground_was_redrawn_keeps_the_cells_it_had(
    small: Store, foreign: sqlite3.Connection
) -> None:
    """It may end with the very moment; it can be withdrawn, and goes to no other area so."""
    over = "redrawn_at = (SELECT ends_at FROM booking WHERE id = 1)"
    ours = "WHERE id = (SELECT area_id FROM booking WHERE id = 1)"
    early = "redrawn_at = (SELECT ends_at - 1 FROM booking WHERE id = 1)"
    refused(foreign, f"UPDATE area SET cells = 1 << 40, {early} {ours}", AREA_MARK)  # noqa: S608
    foreign.execute(f"UPDATE area SET cells = 1 << 40, {over} {ours}")  # noqa: S608
    foreign.execute("UPDATE booking SET starts_at = starts_at + 60 WHERE id = 1")
    foreign.execute("UPDATE booking SET is_withdrawn = 1 WHERE id = 1")
    free = find_area_id(small, TOP, "third-3")
    foreign.execute(f"UPDATE area SET {over} WHERE id = {free}")  # noqa: S608
    refused(foreign, f"UPDATE booking SET area_id = {free} WHERE id = 1", GROUND_MARK)  # noqa: S608


def test_changing_everything_at_once_is_no_way_round(foreign: sqlite3.Connection) -> None:
    """The guard looks at whatever differs, all of it included."""
    columns = "area_id, pitch_id, cells, starts_at, ends_at, is_withdrawn"
    foreign.execute("UPDATE booking SET is_withdrawn = 1 WHERE id = 1")
    foreign.execute(
        "INSERT INTO booking SELECT 3, 'three', pitch_id, id, cells, 0, 60, 'closed', NULL, '', '',"
        " 1, 0, NULL, 0, 0, 0, '' FROM area WHERE pitch_id = (SELECT max(id) FROM pitch) LIMIT 1"
    )
    onto = (
        "SELECT area_id, pitch_id, cells, starts_at + 1, ends_at + 1, 0 FROM booking WHERE id = 2"
    )
    refused(
        foreign,
        f"UPDATE booking SET id = 4, uid = 'four', ({columns}) = ({onto}) WHERE id = 3",  # noqa: S608
        CLASH_MARK,
    )
    ours = "WHERE id = (SELECT area_id FROM booking WHERE id = 2)"
    everything = "id = 999, pitch_id = 999, key = 'new', cells = 1 << 40, redrawn_at = 1"
    refused(foreign, f"UPDATE area SET {everything} {ours}", AREA_MARK)  # noqa: S608


@pytest.mark.parametrize(
    ("mark", "words"),
    [
        (CLASH_MARK, "booking_guard: ground is held"),
        (LENGTH_MARK, "booking_guard: too long"),
        (GROUND_MARK, "booking_guard: not the ground of its area"),
        (TWICE_MARK, "booking_guard: there already"),
        (AREA_MARK, "booking_guard: ground is booked"),
    ],
)
def test_words_of_refusals_stay(mark: str, words: str) -> None:
    """Other programs read them; a guard with other words counts as changed."""
    assert mark == words


def test_a_booked_area_is_not_taken_away(foreign: sqlite3.Connection) -> None:
    """Neither by deleting it, nor by putting another in its place."""
    ours = "WHERE id = (SELECT area_id FROM booking WHERE id = 1)"
    refused(foreign, f"DELETE FROM area {ours}", AREA_MARK)  # noqa: S608
    columns = "pitch_id, key, position, name, cut, polygon, 1 << 40, twelfths, redrawn_at"
    for number in ("id", "NULL"):
        again = f"INSERT OR REPLACE INTO area SELECT {number}, {columns} FROM area {ours}"  # noqa: S608
        refused(foreign, again, TWICE_MARK)
    other = "WHERE id = (SELECT area_id FROM booking WHERE id = 2)"
    ours_key = f"(SELECT key FROM area {ours})"  # noqa: S608
    refused(foreign, f"UPDATE OR REPLACE area SET key = {ours_key} {other}", TWICE_MARK)  # noqa: S608


def test_a_booking_holds_the_ground_of_its_area(small: Store, foreign: sqlite3.Connection) -> None:
    """Another pitch's area, or other cells than the area's, are refused by any way in."""
    low = find_area_id(small, LOW, "whole")
    free = str(find_area_id(small, TOP, "third-3"))
    refused(foreign, copy_of_first(area=str(low)), GROUND_MARK)
    refused(foreign, copy_of_first(area=free), GROUND_MARK)
    refused(foreign, copy_of_first(cells="1 << 40"), GROUND_MARK)
    refused(foreign, copy_of_first(area="9999"), GROUND_MARK)
    for change in (f"area_id = {low}", f"area_id = {free}", "cells = 1 << 40", "pitch_id = 3"):
        refused(foreign, f"UPDATE booking SET {change} WHERE id = 1", GROUND_MARK)  # noqa: S608


def test_a_withdrawn_booking_belongs_to_its_area_too(
    small: Store, foreign: sqlite3.Connection
) -> None:
    """Withdrawing first is no way round."""
    foreign.execute("UPDATE booking SET is_withdrawn = 1 WHERE id = 1")
    low = find_area_id(small, LOW, "whole")
    refused(foreign, f"UPDATE booking SET area_id = {low} WHERE id = 1", GROUND_MARK)  # noqa: S608
    refused(foreign, "UPDATE booking SET cells = 1 << 40 WHERE id = 1", GROUND_MARK)


@pytest.mark.parametrize("way", ["", "OR REPLACE", "OR IGNORE", "OR ROLLBACK", "OR FAIL"])
def test_no_booking_is_put_in_the_place_of_another(foreign: sqlite3.Connection, way: str) -> None:
    """A number or a calendar's name that is there already is refused, not written over."""
    uid = "(SELECT uid FROM booking WHERE id = 2)"
    refused(foreign, copy_of_first(way, number="2"), TWICE_MARK)
    refused(foreign, copy_of_first(way, uid=uid), TWICE_MARK)
    refused(foreign, copy_of_first(way, number="NULL", uid=uid), TWICE_MARK)
    refused(foreign, f"UPDATE {way} booking SET id = 2 WHERE id = 1", TWICE_MARK)  # noqa: S608
    refused(foreign, f"UPDATE {way} booking SET rowid = 2 WHERE id = 1", TWICE_MARK)  # noqa: S608
    refused(foreign, f"UPDATE {way} booking SET uid = {uid} WHERE id = 1", TWICE_MARK)  # noqa: S608


@pytest.mark.parametrize("way", ["", "OR REPLACE", "OR IGNORE"])
def test_held_ground_is_refused_by_every_way_of_writing(
    foreign: sqlite3.Connection, way: str
) -> None:
    """What a statement asks to be done about conflicts makes no difference to the guard."""
    refused(foreign, copy_of_first(way), CLASH_MARK)
    onto = "SELECT area_id, cells FROM booking WHERE id = 2"
    refused(
        foreign,
        f"UPDATE {way} booking SET (area_id, cells) = ({onto}) WHERE id = 1",  # noqa: S608
        CLASH_MARK,
    )


def test_a_booking_under_another_number_stays_itself(foreign: sqlite3.Connection) -> None:
    """Its own ground does not stand in its way when its number changes."""
    foreign.execute("UPDATE booking SET id = 77, ends_at = ends_at + 60 WHERE id = 1")
    assert [row[0] for row in bookings(foreign)] == [2, 77]


@pytest.mark.parametrize(
    "change",
    [
        "is_withdrawn = 'half'",
        "is_withdrawn = 2",
        "is_withdrawn = 0.5",
        "is_withdrawn = x'30'",
        "is_fixed = 'no'",
        "starts_at = starts_at - 0.5",
        "starts_at = '2026-11-25 18:00'",
        "ends_at = '2026-11-25 20:00'",
        "created_at = 'now'",
        "changed_at = x'00'",
        "purpose = 'party'",
        "sequence = 'first'",
        "squad_id = 'us'",
        "share_out_id = 1.5",
        "note = x'00'",
        "holder = NULL",
        "overruled = NULL",
        "uid = x'01'",
    ],
)
def test_a_value_of_another_kind_is_refused(foreign: sqlite3.Connection, change: str) -> None:
    """Words for numbers, halves, and more than yes and no are no values of a booking."""
    refused(foreign, f"UPDATE booking SET {change} WHERE id = 1", "constraint failed|too long")  # noqa: S608


@pytest.mark.parametrize("cells", ["'all of it'", "1.5", "x'01'", "NULL"])
def test_cells_of_another_kind_are_refused(foreign: sqlite3.Connection, cells: str) -> None:
    """An area's and a booking's cells are a whole number."""
    free = "WHERE id NOT IN (SELECT area_id FROM booking)"
    refused(foreign, f"UPDATE area SET cells = {cells} {free}", "constraint failed|too long")  # noqa: S608
    refused(foreign, copy_of_first(cells=cells), "constraint failed|" + GROUND_MARK)


def test_every_column_has_its_kind(empty_store: Store) -> None:
    """Words, numbers, bytes and yes-or-no are told apart in every table."""
    with empty_store.read() as session:
        rows = session.execute(
            text(
                "SELECT t.name, c.name, c.type, t.sql FROM sqlite_master AS t "
                "JOIN pragma_table_info(t.name) AS c "
                "WHERE t.type = 'table' AND t.name <> 'alembic_version' "
                "AND NOT (c.pk = 1 AND c.type = 'INTEGER')"
            )
        ).all()
    assert len(rows) > 200
    lacking = [
        f"{table}.{column}"
        for table, column, _kind, statement in rows
        if f"CONSTRAINT ck_{table}_{column}_kind CHECK" not in statement.replace('"', "")
    ]
    assert lacking == []


@pytest.mark.parametrize("evenings", ["0", "7", "2.5", "'all'"])
def test_evenings_in_a_row_are_one_to_six(foreign: sqlite3.Connection, evenings: str) -> None:
    """Seven would be no limit, none no session."""
    with pytest.raises(sqlite3.IntegrityError, match="constraint failed"):
        foreign.execute(f"UPDATE ask SET most_in_a_row = {evenings}")  # noqa: S608
    foreign.execute("UPDATE ask SET most_in_a_row = 6")
    foreign.execute("UPDATE ask SET most_in_a_row = NULL")


def test_our_own_connections_hold_the_key_too(small: Store) -> None:
    """Booking and area are on the same pitch by key, besides the guard."""
    with small.write() as session:
        for guard in ("booking_guard_update", "area_guard_update"):
            session.execute(text(f"DROP TRIGGER {guard}"))
        with pytest.raises(IntegrityError, match="FOREIGN KEY"):
            session.execute(text("UPDATE booking SET pitch_id = pitch_id + 1 WHERE id = 1"))
        session.rollback()


def test_a_closure_is_held_like_any_booking(foreign: sqlite3.Connection) -> None:
    """What the booking is for makes no difference to whose ground it is."""
    foreign.execute(f"UPDATE booking SET purpose = '{Purpose.CLOSED.value}' WHERE id = 2")  # noqa: S608
    onto = "SELECT area_id, cells FROM booking WHERE id = 2"
    refused(
        foreign,
        f"UPDATE booking SET (area_id, cells) = ({onto}) WHERE id = 1",  # noqa: S608
        CLASH_MARK,
    )
