"""Tokens from the command line."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from click.testing import CliRunner

from clubplanner.commands import main
from clubplanner.domain.club.people import Role
from clubplanner.services.people.people import PersonDraft, add_person
from tests.builders import NOW

if TYPE_CHECKING:
    from clubplanner.store.engine import Store


def test_made_listed_and_withdrawn(small: Store) -> None:
    """All three by command, for a person and for a program; faults with exit code 2."""
    add_person(small, PersonDraft("Kim Ashby", Role.GROUNDSKEEPER, "kim@example.org"), NOW)
    address = small.engine.url.render_as_string(hide_password=False)

    def run(*arguments: str, code: int = 0) -> str:
        result = CliRunner().invoke(main, ["--database", address, "tokens", *arguments])
        assert result.exit_code == code, result.output
        return result.output

    assert run("list") == "None yet.\n"
    made = json.loads(run("add", "kim@example.org", "--for", "the board", "--json"))
    assert made["token"].startswith("cp1_")
    assert made["address"].endswith("/api/1")
    assert "Token: cp1_" in run("add", "Kim Ashby", "--for", "a table", "--change", "--days", "7")
    listed = json.loads(run("list", "--json"))
    assert {(one["purpose"], one["may_change"]) for one in listed} == {
        ("the board", False),
        ("a table", True),
    }
    assert made["token"] not in run("list")
    assert "Withdrawn: the token for the board." in run("withdraw", str(made["number"]))
    assert "no longer in use" in run("withdraw", str(made["number"]), code=2)
    assert "Nobody who may sign in" in run("add", "Nobody", "--for", "x", code=2)
    assert "Say what the token is for" in run("add", "Kim Ashby", "--for", " ", code=2)
