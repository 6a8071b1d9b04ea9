"""No page reads the whole past: how the database goes about each statement that a page sends."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

import pytest
from sqlalchemy import event

from clubplanner.store.engine import open_store
from clubplanner.store.migrate import migrate
from tests.large_club import make_large_club
from tests.page_costs import page_costs

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

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
def steps(tmp_path_factory: pytest.TempPathFactory) -> set[tuple[str, str]]:
    """Ask for every page of everybody, and give each step that reads bookings with its query."""
    store = open_store(f"sqlite:///{tmp_path_factory.mktemp('plans') / 'club.sqlite'}")
    migrate(store)
    club = make_large_club(store, 20, 2, 13)
    sent: dict[str, Any] = {}

    def note(_c: Any, _u: Any, statement: str, parameters: Any, *_rest: Any) -> None:
        if statement.startswith("SELECT"):
            sent.setdefault(statement, parameters)

    event.listen(store.engine, "before_cursor_execute", note)
    for _cost in page_costs(club, store):
        pass
    event.remove(store.engine, "before_cursor_execute", note)
    found = set()
    for statement, parameters in sent.items():
        names = {"booking"} | set(re.findall(r"\bbooking AS (\w+)", statement))
        for step in plans_of(store, statement, parameters):
            kind, _, rest = step.partition(" ")
            if kind in ("SCAN", "SEARCH") and rest.split()[0] in names:
                found.add((step, statement))
    store.close()
    return found


def test_bookings_are_never_read_from_the_beginning(steps: set[tuple[str, str]]) -> None:
    """Every page finds its bookings by number or from a start on: ten seasons cost it nothing."""
    assert len(steps) > 10
    whole = {(step, statement) for step, statement in steps if not BOUNDED.search(step)}
    assert not whole, "\n\n".join(f"{step}\n{statement}" for step, statement in sorted(whole))
