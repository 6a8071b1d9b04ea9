"""The guard in the database, by plain SQL past all of our own code."""

from __future__ import annotations

import re
from datetime import timedelta
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import text
from sqlalchemy.exc import IntegrityError

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.errors import StoreError
from clubplanner.store.guard import (
    CLASH_MARK,
    GROUND_MARK,
    LENGTH_MARK,
    SQLITE_GUARDS,
    check_guards,
    is_clash,
    stand_up_guards,
)
from clubplanner.store.upkeep.migrate import check_store, migrate
from tests.stores import insert_row, instant, put_area

if TYPE_CHECKING:
    from collections.abc import Iterator

    from sqlalchemy import Connection

    from clubplanner.store.engine import Store
    from tests.store.conftest import Guarded


@pytest.fixture
def connection(guarded: Guarded) -> Iterator[Connection]:
    """Give an open connection to a guarded database with one booking: cells 3."""
    with guarded() as opened:
        insert_row(opened, 1)
        yield opened


def set_row(connection: Connection, number: int, change: str) -> None:
    """Change a booking by plain SQL; "on 2" stands for the area of the first pitch with cells 2."""
    cells = re.search(r"on (\d+)", change)
    if cells is not None:
        ground = (
            f"area_id = {put_area(connection, int(cells[1]))}, cells = {cells[1]}, pitch_id = 1"
        )
        change = change.replace(cells[0], ground)
    connection.execute(text(f"UPDATE booking SET {change} WHERE id = {number}"))  # noqa: S608


@pytest.mark.parametrize(
    "changes",
    [
        {},
        {"cells": 1},
        {"cells": 2 | 8},
        {"cells": (1 << 62) | 1},
        {"starts_at": instant(-30), "ends_at": instant(1)},
        {"starts_at": instant(59), "ends_at": instant(90)},
        {"starts_at": instant(20), "ends_at": instant(40)},
        {"starts_at": instant(-600), "ends_at": instant(600)},
        {"purpose": Purpose.CLOSED},
    ],
)
def test_an_overlapping_insert_is_refused(connection: Connection, changes: dict[str, Any]) -> None:
    """A shared cell and a shared moment are enough, whatever else differs."""
    with pytest.raises(IntegrityError, match=CLASH_MARK) as caught, connection.begin_nested():
        insert_row(connection, 2, **changes)
    assert is_clash(caught.value)


@pytest.mark.parametrize(
    "changes",
    [
        {"cells": 4},
        {"cells": 1 << 62},
        {"pitch_id": 2},
        {"starts_at": instant(60), "ends_at": instant(120)},
        {"starts_at": instant(-60), "ends_at": instant(0)},
        {"is_withdrawn": True},
    ],
)
def test_what_only_touches_is_allowed(connection: Connection, changes: dict[str, Any]) -> None:
    """Other cells, another pitch, ranges end to end, and what holds nothing go in."""
    insert_row(connection, 2, **changes)
    assert connection.execute(text("SELECT count(*) FROM booking")).scalar() == 2


@pytest.mark.parametrize(
    "change",
    [
        "on 2",
        "on 3",
        "starts_at = starts_at - 3600",
        "ends_at = ends_at + 1, starts_at = starts_at - 1",
        "is_withdrawn = false",
    ],
)
def test_an_update_into_held_ground_is_refused(connection: Connection, change: str) -> None:
    """Moving, growing and taking back a withdrawal are looked at like a new booking."""
    beside: dict[str, dict[str, Any]] = {
        "on 2": {"cells": 4},
        "on 3": {"pitch_id": 2},
        "is_withdrawn = false": {"is_withdrawn": True},
    }
    later = {"starts_at": instant(60), "ends_at": instant(120)}
    insert_row(connection, 2, **beside.get(change, later))
    with pytest.raises(IntegrityError, match=CLASH_MARK), connection.begin_nested():
        set_row(connection, 2, change)


def test_a_booking_does_not_stand_in_its_own_way(connection: Connection) -> None:
    """Moving a booking by half its length meets only itself and is allowed."""
    set_row(connection, 1, "starts_at = starts_at + 1800, ends_at = ends_at + 1800")
    set_row(connection, 1, "on 1")
    set_row(connection, 1, "note = 'x'")


def test_withdrawn_rows_hold_nothing(connection: Connection) -> None:
    """Ground given back can be booked, and only one of the two can have it after that."""
    set_row(connection, 1, "is_withdrawn = true")
    insert_row(connection, 2)
    with pytest.raises(IntegrityError, match=CLASH_MARK), connection.begin_nested():
        set_row(connection, 1, "is_withdrawn = false")


@pytest.mark.parametrize(("minutes", "is_allowed"), [(25 * 60, True), (25 * 60 + 1, False)])
def test_a_booking_lasts_at_most_the_longest_day(
    connection: Connection, minutes: int, is_allowed: bool
) -> None:
    """25 hours, the day the clocks go back, are allowed; a minute more is not, by any way in."""
    longer = {"starts_at": instant(600), "ends_at": instant(600 + minutes)}
    if is_allowed:
        insert_row(connection, 2, **longer)
        return
    with pytest.raises(IntegrityError, match=LENGTH_MARK) as caught, connection.begin_nested():
        insert_row(connection, 2, **longer)
    assert not is_clash(caught.value)
    with pytest.raises(IntegrityError, match=LENGTH_MARK), connection.begin_nested():
        set_row(connection, 1, f"ends_at = starts_at + {minutes * 60}")


def test_the_longest_booking_is_found_from_its_far_end(connection: Connection) -> None:
    """A booking that began 25 hours ago still holds its last minute."""
    insert_row(connection, 2, cells=4, starts_at=instant(0), ends_at=instant(25 * 60))
    last = {"starts_at": instant(25 * 60 - 1), "ends_at": instant(25 * 60 + 9)}
    with pytest.raises(IntegrityError, match=CLASH_MARK), connection.begin_nested():
        insert_row(connection, 3, cells=4, **last)


@pytest.mark.parametrize(
    ("changes", "constraint"),
    [
        ({"ends_at": instant(0)}, "runs_forward"),
        ({"ends_at": instant(-5)}, "runs_forward"),
        ({"cells": 0}, GROUND_MARK),
        ({"cells": -1}, GROUND_MARK),
    ],
)
def test_a_booking_of_nothing_is_refused(
    connection: Connection, changes: dict[str, Any], constraint: str
) -> None:
    """No time and no ground are refused by name."""
    with pytest.raises(IntegrityError, match=constraint), connection.begin_nested():
        insert_row(connection, 2, **changes)
    with pytest.raises(IntegrityError, match="has_ground"), connection.begin_nested():
        connection.execute(text("UPDATE area SET cells = -1, redrawn_at = 9999999999"))


def test_a_purpose_nobody_knows_is_refused(connection: Connection) -> None:
    """Plain SQL cannot store another purpose either."""
    with pytest.raises(IntegrityError, match="purpose"), connection.begin_nested():
        set_row(connection, 1, "purpose = 'party'")


STEPS = st.lists(
    st.tuples(
        st.sampled_from(["insert", "move", "withdraw", "restore", "redraw"]),
        st.integers(1, 6),
        st.integers(1, 7),
        st.integers(0, 12),
        st.integers(1, 6),
    ),
    max_size=25,
)


@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(STEPS)
def test_no_order_of_changes_leaves_two_on_the_same_ground(
    guarded: Guarded, steps: list[tuple[str, int, int, int, int]]
) -> None:
    """After any changes of bookings and areas no two live ones share ground and a moment."""
    with guarded() as connection:
        for kind, number, cells, start, length in steps:
            start_at, end_at = instant(start), instant(start + length)
            try:
                with connection.begin_nested():
                    if kind == "insert":
                        insert_row(
                            connection, number, cells=cells, starts_at=start_at, ends_at=end_at
                        )
                    elif kind == "move":
                        times = (
                            f"starts_at = {int(start_at.timestamp())}, "
                            f"ends_at = {int(end_at.timestamp())}"
                        )
                        set_row(connection, number, f"on {cells}, {times}")
                    elif kind == "redraw":
                        change = f"UPDATE area SET cells = {cells} WHERE cells = {length}"  # noqa: S608
                        connection.execute(text(change))
                    else:
                        set_row(connection, number, f"is_withdrawn = {kind == 'withdraw'}")
            except IntegrityError:
                continue
        rows = connection.execute(
            text(
                "SELECT booking.id, area.cells, starts_at, ends_at, booking.cells FROM booking "
                "JOIN area ON area.id = area_id WHERE NOT is_withdrawn"
            )
        ).all()
    assert [row[1] for row in rows] == [row[4] for row in rows]
    for one in rows:
        for other in rows:
            apart = one[2] >= other[3] or other[2] >= one[3]
            assert one[0] == other[0] or apart or not one[1] & other[1]


@pytest.mark.files
@pytest.mark.parametrize("name", SQLITE_GUARDS)
@pytest.mark.parametrize("is_altered", [False, True])
def test_a_missing_or_altered_guard_is_noticed(
    empty_store: Store, name: str, is_altered: bool
) -> None:
    """Nothing is served without every guard as written; migrating puts it back."""
    with empty_store.write() as session:
        session.execute(text(f"DROP TRIGGER {name}"))
        if is_altered:
            weaker = SQLITE_GUARDS[name].replace(" BEFORE ", " AFTER ")
            session.connection().exec_driver_sql(weaker)
    with pytest.raises(StoreError, match=f"{name}.*is missing or changed.*clubplanner init"):
        check_store(empty_store)
    migrate(empty_store)
    check_store(empty_store)


@pytest.mark.files
@pytest.mark.parametrize("name", SQLITE_GUARDS)
def test_a_guard_is_stood_up_over_what_stands(empty_store: Store, name: str) -> None:
    """Whatever there was of that name, and twice over: it is as written afterwards."""
    with empty_store.rebuild() as connection:
        connection.exec_driver_sql(f"DROP TRIGGER {name}")
        connection.exec_driver_sql(SQLITE_GUARDS[name].replace(" BEFORE ", " AFTER "))
        stand_up_guards(connection)
        check_guards(connection)
        stand_up_guards(connection)
    check_store(empty_store)


@pytest.mark.files
def test_a_rebuilt_table_drops_its_guards(empty_store: Store) -> None:
    """Why guards are checked at all: putting a copy in a table's place loses them silently."""
    with empty_store.write() as session:
        session.execute(text("CREATE TABLE copy AS SELECT * FROM booking"))
        session.execute(text("DROP TABLE booking"))
        session.execute(text("CREATE TABLE booking AS SELECT * FROM copy"))
    with pytest.raises(StoreError, match="booking_guard_insert"):
        check_store(empty_store)


def test_an_exception_of_another_kind_is_no_clash() -> None:
    """Only the guard's own words count."""
    assert not is_clash(ValueError("UNIQUE constraint failed: booking.uid"))
    assert is_clash(ValueError(CLASH_MARK))


def test_a_second_over_the_longest_day_is_too_long(connection: Connection) -> None:
    """The limit is 25 hours to the second, as the search for what is held relies on."""
    longest = instant(600) + timedelta(hours=25)
    insert_row(connection, 2, starts_at=instant(600), ends_at=longest)
    with pytest.raises(IntegrityError, match=LENGTH_MARK), connection.begin_nested():
        set_row(connection, 2, "ends_at = ends_at + 1")


def test_a_refusal_says_why_in_words(connection: Connection) -> None:
    """Whoever changes records by hand reads in the database's own message what stands there."""
    with (
        pytest.raises(IntegrityError, match="booking_guard: ground is held"),
        connection.begin_nested(),
    ):
        insert_row(connection, 2)
    with pytest.raises(IntegrityError, match="booking_guard: too long"), connection.begin_nested():
        set_row(connection, 1, "ends_at = starts_at + 90001")
