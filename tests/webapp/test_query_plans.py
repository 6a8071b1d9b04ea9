"""No page reads the whole past: how the database goes about each statement that a page sends."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

import pytest
from sqlalchemy import event

from clubplanner.store.engine import open_store
from clubplanner.store.upkeep.migrate import migrate
from tests.large_club import make_large_club
from tests.page_costs import READS_ALL, page_costs

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

GROWING = {
    *("booking", "booking_change", "changed_booking", "changed_record", "closure", "closure_day"),
    *("fixture", "mail", "mailed", "notice", "push", "session_link", "swap_offer"),
    *("turnout", "waiting_ask"),
}
"""Tables of which every season leaves rows; short mails (`hint`) go once they are settled."""
NEWEST_FIRST = re.compile(r" ORDER BY (mail|booking_change)\.id DESC\s+LIMIT \?")
"""What is read from the end, as far as one leaf."""
IS_THERE_ONE = re.compile(r"SELECT 1\s+FROM \w+\s+LIMIT \?(?: OFFSET \?)?")
"""Whether a table has a row at all: one is read, whichever, however many there are."""
BOUNDED = re.compile(
    r"\((id=|rowid=|uid=|share_out_id=|area_id=\?|(pitch_id=\? AND |squad_id=\? AND )?starts_at>)"
)
"""An index of `booking` that is read from somewhere on: by number, or from a start."""


def plans_of(store: Store, statement: str, parameters: Any) -> list[str]:
    """Return the steps by which SQLite carries a statement out."""
    connection = store.engine.raw_connection()
    try:
        cursor = connection.cursor()
        cursor.execute(f"EXPLAIN QUERY PLAN {statement}", parameters)
        return [str(row[3]) for row in cursor.fetchall()]
    finally:
        connection.close()


@pytest.fixture(scope="module")
def steps(tmp_path_factory: pytest.TempPathFactory) -> set[tuple[str, str, str]]:
    """Ask for every page of everybody, and give each step that reads a table that grows.

    Each is the table, what the database does, and the statement.
    """
    store = open_store(f"sqlite:///{tmp_path_factory.mktemp('plans') / 'club.sqlite'}")
    migrate(store)
    club = make_large_club(store, 20, 2, 13)
    sent: dict[str, Any] = {}

    def note(_c: Any, _u: Any, statement: str, parameters: Any, *_rest: Any) -> None:
        if statement.startswith("SELECT"):
            sent.setdefault(statement, parameters)

    event.listen(store.engine, "before_cursor_execute", note)
    for _cost in page_costs(club, store, without=READS_ALL):
        pass
    event.remove(store.engine, "before_cursor_execute", note)
    found = set()
    for statement, parameters in sent.items():
        if IS_THERE_ONE.fullmatch(statement.strip()):
            continue
        names = {name: name for name in GROWING}
        names |= {alias: name for name, alias in re.findall(r"\b(\w+) AS (\w+)", statement)}
        for step in plans_of(store, statement, parameters):
            kind, _, rest = step.partition(" ")
            table = names.get(rest.split()[0], "") if kind in ("SCAN", "SEARCH") else ""
            if table in GROWING:
                found.add((table, step, statement))
    store.close()
    return found


def test_bookings_are_never_read_from_the_beginning(steps: set[tuple[str, str, str]]) -> None:
    """Every page finds its bookings by number or from a start on: ten seasons cost it nothing."""
    reading = {(step, statement) for table, step, statement in steps if table == "booking"}
    assert len(reading) > 10
    whole = {(step, statement) for step, statement in reading if not BOUNDED.search(step)}
    assert not whole, told(whole)


def test_no_table_that_grows_is_read_as_a_whole(steps: set[tuple[str, str, str]]) -> None:
    """Journal, closures, matches, asks, swaps and mails of earlier seasons are left unread."""
    assert len({table for table, _step, _statement in steps}) > 8
    whole = {
        (step, statement)
        for _table, step, statement in steps
        if step.startswith("SCAN") and not NEWEST_FIRST.search(" ".join(statement.split()))
    }
    assert not whole, told(whole)


def test_what_has_no_area_is_not_looked_for_by_area(steps: set[tuple[str, str, str]]) -> None:
    """Most of the journal has none: an index on it must not look quick."""
    slow = {
        (step, statement)
        for table, step, statement in steps
        if table == "changed_booking" and "area_id" in step and "area_id IS NULL" in statement
    }
    assert not slow, told(slow)


def told(found: set[tuple[str, str]]) -> str:
    """Write steps with their statements."""
    return "\n\n".join(f"{step}\n{statement}" for step, statement in sorted(found))
