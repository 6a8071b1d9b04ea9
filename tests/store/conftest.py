"""A database of an earlier version, for tests of what becomes of it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from clubplanner.store.engine import open_store

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from clubplanner.store.engine import Store


@pytest.fixture
def earlier_path(tmp_path: Path) -> Path:
    """Give a place for a database of an earlier version."""
    return tmp_path / "club.sqlite"


@pytest.fixture
def earlier(earlier_path: Path) -> Iterator[Store]:
    """Give a store at that place; put a database there first."""
    store = open_store(f"sqlite:///{earlier_path}")
    yield store
    store.close()
