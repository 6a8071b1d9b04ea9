"""The list of mutants that are no fault, the table of modules, and faults in SQL."""

from __future__ import annotations

import sqlite3
from importlib.util import find_spec
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import grimp
import pytest

from clubplanner.store.guard import SQLITE_GUARDS
from tests.mutants.equivalents import Equivalent, read_equivalents
from tests.mutants.groups import GROUPS, modules_asked_for
from tests.mutants.running import LIBRARIES, QuickestFirst, touched_by
from tests.mutants.sql import is_sql, sql_changes

ROOT = Path(__file__).resolve().parents[2]
MODULES = {module: tests for group in GROUPS.values() for module, tests in group.items()}


def test_every_module_and_test_of_the_table_is_there() -> None:
    """A file that is renamed takes its place in the table along."""
    missing = [name for name in MODULES if not (ROOT / "clubplanner" / name).is_file()]
    tests = {name for names in MODULES.values() for name in names}
    missing += [name for name in tests if not (ROOT / "tests" / name).is_file()]
    assert missing == []


def test_what_is_loaded_ahead_is_there() -> None:
    """Without it nothing could be asked at all: a library that is dropped is dropped there."""
    parents = {name.partition(".")[0] for name in LIBRARIES}
    assert [name for name in sorted(parents) if find_spec(name) is None] == []


@pytest.mark.parametrize("entry", read_equivalents(), ids=lambda entry: f"{entry.was:.50}")
def test_what_is_excused_still_stands_as_it_was_judged(entry: Equivalent) -> None:
    """An entry whose line has changed is looked at anew or dropped; each gives its reason."""
    assert entry.module in MODULES
    assert entry.why.endswith(".")
    source = " ".join((ROOT / "clubplanner" / entry.module).read_text("utf-8").split())
    assert entry.was in source
    assert entry.was not in entry.becomes


def test_names_of_groups_and_modules_choose_what_is_looked_at() -> None:
    """None at all means every module; numbers of mutants choose no module."""
    assert modules_asked_for([]) == MODULES
    assert modules_asked_for(["0a1b2c"]) == MODULES
    assert modules_asked_for(["guard"]) == {"store/guard.py": MODULES["store/guard.py"]}
    two = modules_asked_for(["guard", "geometry/cuts.py"])
    assert set(two) == {"store/guard.py", "geometry/cuts.py"}


def test_quick_tests_run_first() -> None:
    """By what each took itself, not what was made ready for it; new ones at once."""
    order = QuickestFirst({"slow": 1.0, "quick": 0.5})
    reports: list[Any] = [
        SimpleNamespace(when="setup", nodeid="quick", duration=9.0),
        SimpleNamespace(when="call", nodeid="slow", duration=2.0),
        SimpleNamespace(when="call", nodeid="quick", duration=0.1),
        SimpleNamespace(when="teardown", nodeid="quick", duration=9.0),
    ]
    for report in reports:
        order.pytest_runtest_logreport(report)
    assert order.seconds == {"slow": 2.0, "quick": 0.1}
    items: list[Any] = [SimpleNamespace(nodeid=name) for name in ("slow", "new", "quick", "newer")]
    order.pytest_collection_modifyitems(items)
    assert [item.nodeid for item in items] == ["new", "newer", "quick", "slow"]


def test_what_loads_a_module_is_not_loaded_ahead_of_its_faults() -> None:
    """Who imports it, directly or not, and all of a package whose own module does."""
    graph = grimp.ImportGraph()
    for name in ("p", "p.a", "p.b", "p.c", "p.d", "p.room", "p.room.x", "p.room.y"):
        graph.add_module(name)
    for importer, imported in (("p.b", "p.a"), ("p.c", "p.b"), ("p.room", "p.c")):
        graph.add_import(importer=importer, imported=imported)
    graph.add_import(importer="p.a", imported="p.d")
    assert touched_by("p.a", graph) == {"p.a", "p.b", "p.c", "p.room", "p.room.x", "p.room.y"}


@pytest.mark.parametrize(
    "weaker",
    [
        "held.starts_at <= NEW.ends_at",
        "held.ends_at >= NEW.starts_at",
        "(held.cells | NEW.cells) <> 0",
        "(held.cells & NEW.cells) = 0",
        "held.id IS NEW.id",
        "NOT EXISTS",
        "NEW.is_withdrawn = 1",
        "RAISE(IGNORE,",
    ],
)
def test_the_guards_own_words_are_changed(weaker: str) -> None:
    """Each operator of the guard is among what is tried."""
    guard = SQLITE_GUARDS["booking_guard_insert"]
    assert any(changed.count(weaker) > guard.count(weaker) for changed in sql_changes(guard))


def test_every_condition_of_the_guard_is_left_out_once() -> None:
    """A guard that forgets a condition is a mutant, too."""
    guard = SQLITE_GUARDS["booking_guard_update"]
    changed = list(sql_changes(guard))
    conditions = [line.strip() for line in guard.splitlines() if line.strip().startswith("AND")]
    assert len(conditions) == 8
    for condition in conditions:
        assert guard.replace(condition, "") in changed


def test_most_changes_of_sql_are_sql_still() -> None:
    """A mutant that cannot be read at all says nothing about the tests."""
    readable = 0
    changes = list(sql_changes(SQLITE_GUARDS["booking_guard_update"]))
    for changed in changes:
        with sqlite3.connect(":memory:") as connection:
            connection.execute(
                "CREATE TABLE booking (id, pitch_id, cells, starts_at, ends_at, is_withdrawn)"
            )
            try:
                connection.execute(changed)
            except sqlite3.Error:
                continue
            readable += 1
        connection.close()
    assert readable > 0.7 * len(changes)


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        ("SELECT name FROM booking", True),
        ("CREATE TRIGGER x BEFORE UPDATE OF y ON z", True),
        ("NEW.ends_at - NEW.starts_at > 90000", True),
        ("Select a pitch", False),
        ("The club's own name", False),
    ],
)
def test_sql_is_told_from_words(words: str, expected: bool) -> None:
    """By its verbs, and the rows of a trigger, in capitals."""
    assert is_sql(words) is expected
