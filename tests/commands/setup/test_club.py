"""A club goes out as a folder and comes in again, by commands."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import pytest

from tests.commands.journal.test_changes import run
from tests.records import copy_records, drop_records
from tests.small_club import load_small_club

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from clubplanner.store.engine import Store


@pytest.fixture
def new_path(empty_file: Path, tmp_path: Path) -> Iterator[Path]:
    """Give the place of another empty database."""
    path = tmp_path / "new.sqlite"
    copy_records(empty_file, path)
    yield path
    drop_records(path)


def test_a_club_goes_out_and_comes_in(empty_store: Store, tmp_path: Path, new_path: Path) -> None:
    """The folder is its owner's alone, and comes out of the other database as it went in."""
    path = tmp_path / "empty.sqlite"
    load_small_club(empty_store)
    ours, theirs = tmp_path / "clubs" / "ours", tmp_path / "theirs"
    assert "It names people" in run(path, "club", "export", str(ours)).output
    assert (ours.stat().st_mode & 0o777, (ours / "people.csv").stat().st_mode & 0o777) == (
        0o700,
        0o600,
    )
    assert [one.name for one in ours.parent.iterdir()] == ["ours"], "nothing is left beside it"
    assert "Loaded Alderby Rovers." in run(new_path, "club", "load", str(ours)).output
    listed = json.loads(run(new_path, "club", "export", str(theirs), "--json").output)
    assert sorted(listed["files"]) == sorted(file.name for file in ours.iterdir())
    for file in ours.iterdir():
        assert (theirs / file.name).read_bytes() == file.read_bytes()


def test_nothing_is_written_over(empty_store: Store, tmp_path: Path, new_path: Path) -> None:
    """A folder that holds something, a club that is there, and no folder at all are told."""
    path = tmp_path / "empty.sqlite"
    load_small_club(empty_store)
    folder = tmp_path / "ours"
    folder.mkdir()
    assert run(path, "club", "export", str(folder)).exit_code == 0, "an empty one will do"
    again = run(path, "club", "export", str(folder))
    assert (again.exit_code, "name a new one" in again.output) == (2, True)
    refused = run(path, "club", "load", str(folder))
    assert (refused.exit_code, "empty database" in refused.output) == (2, True)
    missing = run(new_path, "club", "load", str(tmp_path / "nowhere"))
    assert (missing.exit_code, "cannot be read" in missing.output) == (2, True)
    assert run(new_path, "club", "export", str(tmp_path / "none")).exit_code == 2
    assert not (tmp_path / "none").exists(), "without a club there is no folder, either"


def test_faults_are_told_by_file_and_row(
    empty_store: Store, tmp_path: Path, new_path: Path
) -> None:
    """All of them at once, and as JSON for a program; then nothing was changed."""
    load_small_club(empty_store)
    folder = tmp_path / "ours"
    run(tmp_path / "empty.sqlite", "club", "export", str(folder))
    (folder / "training-holidays.csv").write_text("date\nsoon\n2026-12-26\nlater\n", "utf-8")
    told = run(new_path, "club", "load", str(folder))
    assert told.exit_code == 2
    assert "training-holidays.csv, row 2, column date: “soon” is not a date" in told.output
    assert "2 faults found; nothing was changed." in told.output
    body = json.loads(run(new_path, "club", "load", str(folder), "--json").output)
    assert [one["where"] for one in body["problems"]] == [
        "training-holidays.csv, row 2, column date",
        "training-holidays.csv, row 4, column date",
    ]
