"""Webhooks from the command line."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from click.testing import CliRunner

from clubplanner.commands import main

if TYPE_CHECKING:
    from clubplanner.store.engine import Store


def test_made_listed_tried_ended_and_let_go_on(small: Store) -> None:
    """The secret is shown once; a trial that does not arrive says so by its exit code."""

    def run(*arguments: str, code: int = 0) -> str:
        url = small.engine.url.render_as_string(hide_password=False)
        result = CliRunner().invoke(main, ["--database", url, "webhooks", *arguments])
        assert result.exit_code == code, result.output
        return result.output

    assert run("list") == "None yet.\n"
    made = json.loads(run("add", "our website", "https://localhost:1/hook", "--json"))
    assert made["secret"].startswith("whsec_")
    assert "our website, localhost:1: It is told what changes." in run("list")
    assert "secret" not in run("list", "--json")
    assert "inside a network" in run("try", "1", code=2)
    other = json.loads(run("exchange-secret", "1", "--json"))
    assert other["secret"] != made["secret"]
    assert other["former_until"] in run("show", "1")
    assert "the secret before, too, until" in run("exchange-secret", "1")
    assert "Nothing more is sent to our website." in run("withdraw", "1")
    assert "Ended" in run("show", "1")
    assert "told again" in run("resume", "1")
    assert json.loads(run("show", "1", "--json"))["line"]["is_going_on"]
    assert "no such webhook" in run("withdraw", "9", code=2)
    assert "read on its way" in run("add", "the screen", "http://screen.example/", code=2)
