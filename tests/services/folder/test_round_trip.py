"""A club goes out as files and comes in again: the same files go out once more."""

from __future__ import annotations

from itertools import count
from typing import TYPE_CHECKING

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from clubplanner.errors import FaultyInputError
from clubplanner.services.folder.exporting import export_folder
from clubplanner.services.folder.taking_in import take_in_folder
from clubplanner.store.migrate import check_store
from tests.builders import NOW
from tests.records import copy_records, drop_records, open_records
from tests.services.folder.drawn_clubs import fill_club

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence
    from pathlib import Path

    from clubplanner.inputs.club_files.club_file import ClubFile
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


def files_by_name(store: Store) -> dict[str, bytes]:
    """Return the files of a club."""
    return {file.name: file.data for file in export_folder(store)}


def take_in(store: Store, files: Sequence[ClubFile]) -> None:
    """Take a folder in, and tell its faults if it has any."""
    try:
        take_in_folder(store, files, NOW)
    except FaultyInputError as fault:
        pytest.fail("\n".join(map(str, fault.problems[:20])))


@settings(
    max_examples=12,
    phases=(Phase.explicit, Phase.generate),  # a smaller club says no more, and takes minutes
    suppress_health_check=[HealthCheck.function_scoped_fixture],
    deadline=None,
)
@given(st.data())
def test_any_club_comes_back_the_same(new_store: Callable[[], Store], data: st.DataObject) -> None:
    """Whatever a club typed, in any script and with any signs, goes out again byte for byte."""
    store, other = new_store(), new_store()
    fill_club(data.draw, store)
    files = list(export_folder(store))
    take_in(other, data.draw(st.permutations(files)))
    assert files_by_name(other) == {file.name: file.data for file in files}
    check_store(other)
