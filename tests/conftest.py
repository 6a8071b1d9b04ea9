"""What all tests share: the profile for drawn examples, and databases to work on."""

from __future__ import annotations

import gc
import os
import subprocess
import sys
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from argon2 import PasswordHasher

import tests.profiles  # noqa: F401  for what it registers
from clubplanner.inputs.club_files.club_file import ClubFile
from clubplanner.resources import invented_club_files
from clubplanner.services.people.ways_in import passwords
from clubplanner.services.setup.loading import load_files
from clubplanner.store.upkeep.migrate import migrate
from tests import counting, records
from tests.builders import NOW
from tests.compiled_once import compiled_once
from tests.records import (
    SERVER,
    copy_records,
    drop_records,
    make_place,
    open_records,
    opens_records,
    server_of_run,
)
from tests.small_club import load_small_club

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from clubplanner.store.engine import Store
    from tests.stores import Filled, MadeOnce

ROOT = Path(__file__).resolve().parents[1]


def pytest_addoption(parser: pytest.Parser) -> None:
    """Let a run choose where records are kept, and whether lines are counted."""
    parser.addoption("--records", choices=["sqlite", "postgresql"], default="sqlite")
    parser.addoption(
        counting.OPTION, action="store_true", help="count the lines that are run, against a floor"
    )


@pytest.fixture(scope="session", autouse=True)
def _records_of_run(request: pytest.FixtureRequest) -> Iterator[None]:
    """Run a database server beside the tests if they are to use one; one a process."""
    if request.config.getoption("--records") == "sqlite":
        yield
        return
    with server_of_run() as address:
        os.environ[SERVER] = address
        yield
        del os.environ[SERVER]


@pytest.fixture(scope="session")
def empty_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Give a database file of the newest shape without a club; copy it, do not change it."""
    path = tmp_path_factory.mktemp("databases") / "empty.sqlite"
    make_place(path)
    store = open_records(path)
    migrate(store)
    store.close()
    return path


@pytest.fixture(scope="session")
def club_file(empty_file: Path) -> Path:
    """Give a database file with the invented club loaded; copy it, do not change it."""
    path = empty_file.with_name("club.sqlite")
    copy_records(empty_file, path)
    store = open_records(path)
    load_files(store, [ClubFile(p.name, p.read_bytes()) for p in invented_club_files()], NOW)
    store.close()
    return path


@pytest.fixture(scope="session")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Build the wheel from the checkout."""
    folder = tmp_path_factory.mktemp("wheel")
    command = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(folder)]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return next(folder.glob("*.whl"))


@pytest.fixture(scope="session", autouse=True)
def _quick_hashes() -> Iterator[None]:
    """Let passwords be checked at once: what they cost is held by a test of its own."""
    cost = passwords._HASHER
    passwords._HASHER = PasswordHasher(time_cost=1, memory_cost=8, parallelism=1)
    yield
    passwords._HASHER = cost


ON_SERVERS = frozenset({"store", "services", "torture"})
"""Rooms of the tests that the gate runs over a server, too."""
LONGEST = (
    "use/test_season.py",
    "browser/test_every_page.py",
    "browser/test_journey.py",
    "webapp/test_page_costs.py",
    "browser/",
    "use/",
    "world/",
    "torture/",
    "fuzz/",
    "webapp/coach/test_ground.py",
    "webapp/base/test_security_access.py",
    "webapp/season/test_season_hostile.py",
    "services/showing/ground/test_demo_drawings.py",
    "sharing/again/",
    "sharing/test_against_brute_force.py",
)
"""Files that take longest begin first, or one process waits for the other at the end."""


def pytest_collection(session: pytest.Session) -> None:
    """Let the second process import tests from the last on: each finds what the other compiled.

    Tests that nobody ran yet take longer to compile than to import, and both begin at once.
    """
    worker = getattr(session.config, "workerinput", {}).get("workerid")
    tests = ROOT / "tests"
    if worker != "gw1" or tests not in (Path(arg).resolve() for arg in session.config.args):
        return
    for path in sorted(tests.rglob("test_*.py"), reverse=True):
        try:
            import_module(".".join(path.relative_to(ROOT).with_suffix("").parts))
        except (Exception, pytest.skip.Exception):  # whatever is wrong, collecting tells it
            return


def pytest_collection_finish() -> None:
    """Look for rubbish seldom, and not among what was imported: that is there to stay."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(20_000, 20, 20)


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Put the tests of the longest files in front; the order is the same at every run.

    Tests of records in files or on a server are left to the run that keeps them so, and those that
    open no records to the run over files: they are the same on both.
    """

    def place(item: pytest.Item) -> int:
        path = item.path.relative_to(ROOT / "tests").as_posix()
        return next((n for n, start in enumerate(LONGEST) if path.startswith(start)), len(LONGEST))

    items.sort(key=place)
    is_on_server = config.getoption("--records") != "sqlite"
    other = "files" if is_on_server else "server"
    away = {
        item
        for item in items
        if item.get_closest_marker(other) or (is_on_server and not opens_records(item))
    }
    if away:
        config.hook.pytest_deselected(items=[item for item in items if item in away])
        items[:] = [item for item in items if item not in away]


def pytest_runtest_setup(item: pytest.Item) -> None:
    """Hold each test of a room that runs on a server to what `opens_records` says of it."""
    room = item.path.relative_to(ROOT / "tests").parts[0]
    records.is_open = room not in ON_SERVERS or opens_records(item)


def pytest_configure(config: pytest.Config) -> None:
    """Begin to count in the processes that will run tests, if lines are to be counted."""
    counting.prepare(config)


@pytest.hookimpl(trylast=True)
def pytest_sessionfinish(session: pytest.Session) -> None:
    """Say which lines were not run."""
    counting.end(session)


@pytest.fixture(scope="session", autouse=True)
def _compiled_once() -> Iterator[None]:
    """Let all apps and databases of the tests share what one of them compiled."""
    with compiled_once():
        yield


@pytest.fixture(scope="session")
def made_once(empty_file: Path, tmp_path_factory: pytest.TempPathFactory) -> MadeOnce:
    """Give a function that returns a database file filled by another, made once; copy it."""
    known: dict[Callable[[Store], object], Path] = {}

    def made(fill: Callable[[Store], object]) -> Path:
        if fill not in known:
            path = tmp_path_factory.mktemp("made") / "club.sqlite"
            copy_records(empty_file, path)
            store = open_records(path)
            fill(store)
            store.close()
            known[fill] = path
        return known[fill]

    return made


@pytest.fixture
def filled(made_once: MadeOnce, tmp_path: Path) -> Iterator[Filled]:
    """Give a function that opens a database of this test's own, filled as another function does."""
    opened: list[Store] = []

    def fill(how: Callable[[Store], object]) -> Store:
        path = tmp_path / f"filled-{len(opened)}.sqlite"
        copy_records(made_once(how), path)
        opened.append(open_records(path))
        return opened[-1]

    yield fill
    for store in opened:
        store.close()
    for number in range(len(opened)):
        drop_records(tmp_path / f"filled-{number}.sqlite")


@pytest.fixture
def small(filled: Filled) -> Store:
    """Give a database of this test's own with the small club, nothing booked."""
    return filled(load_small_club)


@pytest.fixture
def store_path(tmp_path: Path) -> Path:
    """Give the place of this test's own club; nothing is there before `club_store` is asked for."""
    return tmp_path / "club.sqlite"


@pytest.fixture
def empty_store(empty_file: Path, tmp_path: Path) -> Iterator[Store]:
    """Give a database of this test's own, migrated, without a club."""
    path = tmp_path / "empty.sqlite"
    copy_records(empty_file, path)
    store = open_records(path)
    yield store
    store.close()
    drop_records(path)


@pytest.fixture
def club_store(club_file: Path, store_path: Path) -> Iterator[Store]:
    """Give a database of this test's own with the invented club loaded."""
    copy_records(club_file, store_path)
    store = open_records(store_path)
    yield store
    store.close()
    drop_records(store_path)
