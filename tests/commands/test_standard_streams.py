"""“-” is standard input where a file is read, and standard output where one is written."""

from __future__ import annotations

import json
from io import BytesIO
from typing import TYPE_CHECKING
from zipfile import ZipFile

import pytest
from click.testing import CliRunner

from clubplanner.commands import main
from clubplanner.commands.base.files_on_disk import STANDARD, read_file
from tests.small_club import load_small_club

if TYPE_CHECKING:
    from pathlib import Path

    from click.testing import Result

    from clubplanner.store.engine import Store


def run(store: Store, *words: str, given: bytes | None = None) -> Result:
    """Run a command on a club's records, perhaps with something on standard input."""
    return CliRunner().invoke(main, ["--database", str(store.engine.url), *words], input=given)


def test_files_go_out_and_come_in_by_the_streams(
    empty_store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Ground, squads, calendar, folder and backup; no file is called “-” afterwards."""
    monkeypatch.chdir(tmp_path)
    store = load_small_club(empty_store)
    ground = run(store, "grounds", "export", "marsh-lane").stdout_bytes
    assert json.loads(ground)["type"] == "FeatureCollection"
    looked = run(store, "grounds", "load", "-", "--look", given=ground)
    assert looked.output.count("as it is") == 3
    squads = run(store, "squads", "export").stdout_bytes
    assert b"U12 Kestrels" in squads
    assert "2 squads" in run(store, "club", "load", "-", given=squads).output
    calendar = run(store, "calendars", "export", "squad", "u12-kestrels").stdout_bytes
    assert calendar.startswith(b"BEGIN:VCALENDAR\r\n")
    added = run(store, "calendars", "add", "Council", "Top pitch", "-", given=calendar)
    assert added.exit_code == 0, added.output
    packed = run(store, "club", "export", "-").stdout_bytes
    assert "people.csv" in ZipFile(BytesIO(packed)).namelist()
    ways = ("--replace", "--although-served")
    backup = run(store, "records", "back-up", "-").stdout_bytes
    brought = run(store, "records", "restore", "-", *ways, given=backup)
    assert brought.exit_code == 0, brought.output
    assert not (tmp_path / "-").exists()


def test_two_things_do_not_go_to_standard_output(empty_store: Store) -> None:
    """A file and JSON at once are refused with what to do."""
    store = load_small_club(empty_store)
    done = run(store, "calendars", "export", "squad", "u12-kestrels", "--json")
    assert done.exit_code == 2
    assert "name a file" in json.loads(done.stderr)["error"]
    assert done.stdout == ""


@pytest.mark.parametrize(
    ("data", "name"),
    [
        (b'{"type": "FeatureCollection"}', "standard-input.geojson"),
        (b"# our club\nname = 1", "standard-input.toml"),
        (b'name = "Rovers"\n', "standard-input.toml"),
        (b"squad,players\n", "standard-input.csv"),
        (b"BEGIN:VCALENDAR\r\n", "standard-input.ics"),
        (b"PK\x03\x04....[Content_Types].xml", "standard-input.xlsx"),
        (b"PK\x03\x04....club.toml", "standard-input.zip"),
        (b"", "standard-input.csv"),
    ],
)
def test_what_comes_in_is_known_by_how_it_begins(
    data: bytes, name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Standard input has no name, so its kind is told by its first letters."""

    class Stream:
        buffer = BytesIO(data)

    monkeypatch.setattr("sys.stdin", Stream)
    assert read_file(STANDARD).name == name


def test_a_calendar_goes_out_without_a_new_address(empty_store: Store) -> None:
    """The file leads to no page, and afterwards nobody has an address more."""
    store = load_small_club(empty_store)
    for kind, subject in (("squad", "u12-kestrels"), ("pitch", "Top pitch")):
        done = run(store, "calendars", "export", kind, subject)
        assert done.exit_code == 0
        assert "http" not in done.stdout
    earlier = run(store, "feed", "u12-kestrels")
    assert earlier.stdout.startswith("BEGIN:VCALENDAR")
    assert "calendars export squad" in earlier.stderr
    assert run(store, "addresses", "list").output == "None yet.\n"
