"""What all tests share: the profile for drawn examples, and databases to work on."""

from __future__ import annotations

import gc
import shutil
import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from argon2 import PasswordHasher

import tests.profiles  # noqa: F401  for what it registers
from clubplanner.inputs.club_files.club_file import ClubFile
from clubplanner.resources import invented_club_files
from clubplanner.services.people import passwords
from clubplanner.services.setup.loading import load_files
from clubplanner.store.engine import Store, open_store
from clubplanner.store.migrate import migrate
from tests.builders import NOW
from tests.compiled_once import compiled_once
from tests.small_club import load_small_club
from tests.stores import open_quickly

if TYPE_CHECKING:
    from collections.abc import Callable, Generator, Iterator

    from tests.stores import Filled, MadeOnce

ROOT = Path(__file__).resolve().parents[1]


@pytest.fixture(scope="session")
def empty_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Give a database file of the newest shape without a club; copy it, do not change it."""
    path = tmp_path_factory.mktemp("databases") / "empty.sqlite"
    store = open_store(f"sqlite:///{path}")
    migrate(store)
    store.close()
    return path


@pytest.fixture(scope="session")
def club_file(empty_file: Path) -> Path:
    """Give a database file with the invented club loaded; copy it, do not change it."""
    path = empty_file.with_name("club.sqlite")
    shutil.copy(empty_file, path)
    store = open_store(f"sqlite:///{path}")
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


LONGEST = (
    "use/test_season.py",
    "browser/test_every_page.py",
    "browser/test_journey.py",
    "webapp/test_page_costs.py",
    "browser/",
    "use/",
    "world/",
    "webapp/coach/test_ground.py",
    "webapp/base/test_security_access.py",
    "webapp/season/test_season_hostile.py",
    "services/showing/test_demo_drawings.py",
    "sharing/again/",
    "sharing/test_against_brute_force.py",
)
"""Files that take longest begin first, or one process waits for the other at the end."""


def pytest_collection_finish() -> None:
    """Look for rubbish seldom, and not among what was imported: that is there to stay."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(20_000, 20, 20)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Put the tests of the longest files in front; the order is the same at every run."""

    def place(item: pytest.Item) -> int:
        path = item.path.relative_to(ROOT / "tests").as_posix()
        return next((n for n, start in enumerate(LONGEST) if path.startswith(start)), len(LONGEST))

    items.sort(key=place)
    seen = set[tuple[Path, str]]()
    for item in items:
        test = (item.path, item.nodeid.partition("[")[0])
        item.stash[LIKE_ANOTHER] = test in seen
        seen.add(test)


UNCOUNTED = (
    "browser/",
    "use/",
    "published/",
    "readers/",
    "languages/",
    "commands/test_where_served.py",
    "fitting/outlines/test_largest.py",
    "fitting/outlines/test_rows.py",
    "inputs/reading/test_bounded_greedy_files.py",
    "services/mails/test_refusals.py",
    "services/problem/test_rules_agree.py",
    "services/showing/test_demo_drawings.py",
    "sharing/again/test_reshare.py",
    "sharing/test_against_brute_force.py",
    "store/test_upgrades.py",
    "webapp/base/test_security_access.py",
    "webapp/season/test_season_hostile.py",
    "webapp/test_hostile.py",
    "webapp/serving/test_compression.py",
    "webapp/test_page_costs.py",
    "webapp/test_query_plans.py",
    "webapp/test_routes.py",
    "world/",
)
"""Tests of the program as a whole, of many examples, and against others: coverage is counted by the
tests of the rooms alone. Counting makes a test half as long again or twice as long. What a server
refuses, packed answers and query plans run lines that the tests of delivering and of the pages run
as well."""
LIKE_ANOTHER = pytest.StashKey[bool]()
"""Whether an item is the same test as one before it with other values."""
COUNTED_ONCE = ("services/", "webapp/")
"""Here a test with other values runs the same lines but for a few: coverage is counted once. Below,
each value that is refused has lines of its own."""


@pytest.hookimpl(wrapper=True)
def pytest_runtest_protocol(item: pytest.Item) -> Generator[None, object, object]:
    """Count no coverage in some tests, and in the fixtures that they are the first to ask for."""
    path = item.path.relative_to(ROOT / "tests").as_posix()
    plugin: Any = item.config.pluginmanager.getplugin("_cov")
    counting = getattr(plugin, "cov_controller", None)
    is_known = item.stash[LIKE_ANOTHER] and path.startswith(COUNTED_ONCE)
    is_counted = not path.startswith(UNCOUNTED) and not is_known
    if counting is None or is_counted:
        return (yield)
    counting.pause()
    try:
        return (yield)
    finally:
        counting.resume()


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
            shutil.copy(empty_file, path)
            store = open_quickly(path)
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
        shutil.copy(made_once(how), path)
        opened.append(open_quickly(path))
        return opened[-1]

    yield fill
    for store in opened:
        store.close()


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
    shutil.copy(empty_file, path)
    store = open_quickly(path)
    yield store
    store.close()


@pytest.fixture
def club_store(club_file: Path, store_path: Path) -> Iterator[Store]:
    """Give a database of this test's own with the invented club loaded."""
    shutil.copy(club_file, store_path)
    store = open_quickly(store_path)
    yield store
    store.close()
