"""Addresses from the command line."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from click.testing import CliRunner

from clubplanner.commands import main
from tests.small_club import load_small_club

if TYPE_CHECKING:
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
