"""Empty databases for clubs that go out and come in."""

from __future__ import annotations

from itertools import count
from typing import TYPE_CHECKING

import pytest

from tests.records import copy_records, drop_records, open_records

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from clubplanner.store.engine import Store


@pytest.fixture
def new_store(empty_file: Path, tmp_path: Path) -> Iterator[Callable[[], Store]]:
    """Give a function that opens another empty database each time."""
    paths: list[tuple[Path, Store]] = []
    numbers = count()

    def open_new() -> Store:
        while len(paths) > 4:
            path, store = paths.pop(0)
            store.close()
            drop_records(path)
            path.unlink(missing_ok=True)
        path = tmp_path / f"new-{next(numbers)}.sqlite"
        copy_records(empty_file, path)
        paths.append((path, open_records(path)))
        return paths[-1][1]

    yield open_new
    for path, store in paths:
        store.close()
        drop_records(path)
