"""Squads typed from the command line, in the words of the squads file."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from tests.commands.journal.test_changes import run
from tests.small_club import load_small_club

if TYPE_CHECKING:
    from pathlib import Path

    from clubplanner.store.engine import Store

ASK = ("--set", "sessions a week=1", "--set", "minutes=60", "--set", "possible=Fri 16:00-18:00")


def test_a_squad_is_added_and_changed_by_columns(empty_store: Store, tmp_path: Path) -> None:
    """Columns that are left out stay; faults are told at their column, and nothing is changed."""
    path = tmp_path / "empty.sqlite"
    load_small_club(empty_store)
    added = run(path, "squads", "add", "U9 Owls", "--set", "players=11", *ASK, "--json")
    assert json.loads(added.stdout)["key"] == "u9-owls"
    second = run(path, "squads", "change", "U9 Owls", "--ask", "2", *ASK, "--json")
    assert len(json.loads(second.stdout)["asks"]) == 2
    fewer = run(path, "squads", "change", "u9-owls", "--set", "players=9", "--withdraw-ask", "2")
    assert fewer.exit_code == 0, fewer.output
    shown = json.loads(run(path, "squads", "show", "u9-owls", "--json").stdout)
    assert (shown["squad"]["players"], len(shown["asks"])) == ("9", 1)
    wrong = run(path, "squads", "change", "u9-owls", "--set", "players=many", "--json")
    assert wrong.exit_code == 2
    assert [one["where"] for one in json.loads(wrong.stderr)["problems"]] == ["players"]
    assert "U9 Owls (u9-owls)" in run(path, "squads", "list").stdout
    assert "sets no column" in run(path, "squads", "change", "u9-owls", "--set", "wings=2").stderr
    assert run(path, "squads", "change", "u9-owls", "--ask", "5", *ASK).exit_code == 2
