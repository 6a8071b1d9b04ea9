"""Addresses from the command line."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from click.testing import CliRunner

from clubplanner.commands import main
from tests.small_club import load_small_club

if TYPE_CHECKING:
    from pathlib import Path

    from clubplanner.store.engine import Store


def test_made_listed_and_withdrawn(empty_store: Store) -> None:
    """All three by command, for a person and for a program; faults with exit code 2."""
    store = load_small_club(empty_store)

    def run(*arguments: str, code: int = 0) -> str:
        command = ["--database", str(store.engine.url), "addresses", *arguments]
        result = CliRunner().invoke(main, command)
        assert result.exit_code == code, result.output
        return result.output

    assert run("list") == "None yet.\n"
    made = json.loads(
        run("add", "pitch", "Top pitch", "--holder", "Kim", "--reminder", "30", "--json")
    )
    assert made["feed"] == f"{made['page']}/bookings.ics"
    assert "Feed: http" in run("add", "coach", "Robin Hale", "--holder", "Robin")
    listed = json.loads(run("list", "--json"))
    assert [line["holder"] for line in listed] == ["Robin", "Kim"]
    assert made["page"].rpartition("/")[2] not in json.dumps(listed)
    number = str(listed[1]["number"])
    assert "Withdrawn: the address of Kim." in run("withdraw", number)
    assert "already" in run("withdraw", number, code=2)
    assert "the pitches are" in run("add", "pitch", "Moon", "--holder", "Kim", code=2)


def test_handed_out_to_all_at_once(empty_store: Store, tmp_path: Path) -> None:
    """Each with its name, into a sheet that is never written over; those in use stay."""
    store = load_small_club(empty_store)

    def run(*arguments: str, code: int = 0) -> str:
        command = ["--database", str(store.engine.url), "addresses", "hand-out", *arguments]
        result = CliRunner().invoke(main, command)
        assert result.exit_code == code, result.output
        return result.output

    sheet = tmp_path / "addresses.pdf"
    words = run("--squad", "U12 Kestrels", "--sheet", str(sheet))
    assert "U12 Kestrels (families): http" in words
    assert sheet.read_bytes().startswith(b"%PDF-")
    before = sheet.read_bytes()
    assert "is there already" in run("--all", "--sheet", str(sheet), code=2)
    assert sheet.read_bytes() == before
    made = json.loads(run("--for", "families", "--for", "coaches", "--json"))
    assert [one["name"] for one in made["addresses"]] == ["U14 Harriers", "Robin Hale", "Sam Reed"]
    assert "has an address already" in run(code=2)
    assert "No mail server is set up" in run("--all", "--mail", code=2)
    assert "not both" in run("--all", "--squad", "U12 Kestrels", code=2)
    assert "U99" in run("--squad", "U99", code=2)
