"""A club goes out as files and comes in again: the same files go out once more."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from clubplanner.errors import FaultyInputError
from clubplanner.inputs.club_files.club_file import ClubFile
from clubplanner.services.folder.exporting import export_folder
from clubplanner.services.folder.taking_in import take_in_folder
from clubplanner.store.migrate import check_store, migrate
from tests.builders import NOW
from tests.records import open_records
from tests.services.folder.drawn_clubs import fill_club
from tests.store.earlier import SPARSE, put_earlier

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from pathlib import Path

    from clubplanner.store.engine import Store


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


@pytest.mark.files
@pytest.mark.parametrize("name", ["0016", "0012", "0001", SPARSE])
def test_a_club_with_a_past_comes_back_the_same(
    tmp_path: Path, new_store: Callable[[], Store], name: str
) -> None:
    """Some weeks of use in earlier versions: withdrawn bookings, closures, swaps, proposals."""
    path = tmp_path / "earlier.sqlite"
    put_earlier(path, name)
    store, other = open_records(path), new_store()
    migrate(store)
    files = files_by_name(store)
    store.close()
    take_in(other, [ClubFile(*file) for file in files.items()])
    assert files_by_name(other) == files
    check_store(other)
