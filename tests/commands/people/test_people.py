"""People from the command line, by the rules of the pages."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from tests.commands.journal.test_changes import run
from tests.small_club import load_small_club

if TYPE_CHECKING:
    from pathlib import Path

    from clubplanner.store.engine import Store


def test_a_coach_is_added_changed_let_in_and_withdrawn(empty_store: Store, tmp_path: Path) -> None:
    """By name, e-mail or number; what is wrong is told as the form tells it."""
    path = tmp_path / "empty.sqlite"
    load_small_club(empty_store)
    made = json.loads(
        run(path, "people", "add", "Robin Vale", "--email", "r@o.org", "--json").stdout
    )
    assert (made["role"], made["may_sign_in"]) == ("coach", True)
    changed = run(path, "people", "change", "r@o.org", "--squad", "u12-kestrels", "--json")
    assert json.loads(changed.stdout)["squads"] == ["u12-kestrels"]
    assert json.loads(changed.stdout)["email"] == "r@o.org", "what is left out stays"
    assert "/let-in/" in run(path, "people", "let-in", str(made["number"])).stdout
    assert "/secretary/" in run(path, "people", "let-in").stdout
    assert "can no longer sign in" in run(path, "people", "withdraw", "Robin Vale").stdout
    (line,) = [
        one
        for one in json.loads(run(path, "people", "list", "--json").stdout)
        if one["number"] == made["number"]
    ]
    assert not line["may_sign_in"]
    wrong = run(path, "people", "add", "Robin <x>", "--email", "nowhere", "--phone", "x", "--json")
    assert wrong.exit_code == 2
    told = {one["where"] for one in json.loads(wrong.stderr)["problems"]}
    assert told == {"name", "email", "phone"}
    assert run(path, "people", "show", "Nobody").exit_code == 2
    gone = run(path, "people", "change", "Robin Vale", "--no-squads", "--json")
    assert json.loads(gone.stdout)["squads"] == []
    assert run(path, "people", "show", "Robin Vale").exit_code == 2, "listed no more"
