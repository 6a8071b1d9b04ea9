"""What all tests share: the profile for drawn examples, and databases to work on."""

from __future__ import annotations

import shutil
from typing import TYPE_CHECKING

import pytest
from hypothesis import settings

from clubplanner.resources import invented_club_files
from clubplanner.services.loading import ClubFile, load_files
from clubplanner.store.engine import Store, open_store
from clubplanner.store.migrate import migrate
from tests.builders import NOW

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

settings.register_profile("shared-machine", deadline=None)  # a busy machine is no failure
settings.load_profile("shared-machine")


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


@pytest.fixture
def store_path(tmp_path: Path) -> Path:
    """Give the place of this test's own club; nothing is there before `club_store` is asked for."""
    return tmp_path / "club.sqlite"


@pytest.fixture
def empty_store(empty_file: Path, tmp_path: Path) -> Iterator[Store]:
    """Give a database of this test's own, migrated, without a club."""
    path = tmp_path / "empty.sqlite"
    shutil.copy(empty_file, path)
    store = open_store(f"sqlite:///{path}")
    yield store
    store.close()


@pytest.fixture
def club_store(club_file: Path, store_path: Path) -> Iterator[Store]:
    """Give a database of this test's own with the invented club loaded."""
    shutil.copy(club_file, store_path)
    store = open_store(f"sqlite:///{store_path}")
    yield store
    store.close()
