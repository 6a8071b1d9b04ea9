"""Tariffs and statements from the command line."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from click.testing import CliRunner

from clubplanner.commands import main
from clubplanner.domain.booked.bookings import Purpose
from tests.builders import A_WEDNESDAY
from tests.services.money.money_club import CHOIR, load_tariffed_club
from tests.small_club import TOP, book

if TYPE_CHECKING:
    from pathlib import Path

    from clubplanner.store.engine import Store
    from tests.stores import Filled


def test_a_month_by_commands(filled: Filled, tmp_path: Path) -> None:
    """Tariffs are listed, added and withdrawn; a statement issued, written and taken back."""
    store: Store = filled(load_tariffed_club)
    day = A_WEDNESDAY.replace(year=2025)  # over by any real clock
    book(store, CHOIR, "half-1", pitch_key=TOP, purpose=Purpose.HIRE, day=day)

    def run(*arguments: str, code: int = 0) -> str:
        command = ["--database", str(store.engine.url), *arguments]
        result = CliRunner().invoke(main, command)
        assert result.exit_code == code, result.output
        return result.output

    winter = ("--payer", "hirer", "--days", "Tue, Wed", "--from", "17:00", "--season", "10-01/3-31")
    assert "month and day" in run("tariffs", "add", f"marsh-lane/{TOP}", "40", *winter, code=2)
    added = run("tariffs", "add", f"marsh-lane/{TOP}", "40", *winter[:-1], "10-01/03-31", "--json")
    number = json.loads(added)["number"]
    assert "€40.00 for an hour, Top pitch, Marsh Lane: Tue, Wed" in run("tariffs", "list")
    who = ("2025-11", "hirer", CHOIR)
    assert "Total: €25.00" in run("statements", "preview", *who)
    run("tariffs", "withdraw", str(number))
    assert run("statements", "issue", *who) == "Statement 1 is issued.\n"
    assert "Total: €18.75" in run("statements", "show", "1")
    run("statements", "export", "1", "--output", str(tmp_path / "one.csv"))
    assert "18.75" in (tmp_path / "one.csv").read_text("utf-8-sig")
    run("statements", "export", "1", "--output", str(tmp_path / "one.xlsx"))
    assert (tmp_path / "one.xlsx").read_bytes().startswith(b"PK")
    assert "Say why" in run("statements", "withdraw", "1", code=2)
    run("statements", "withdraw", "1", "--why", "Wrong price")
    assert (
        json.loads(run("statements", "list", "2025-11", "--json"))["statements"][0]["number"] == 1
    )
    assert "reckons in JPY" in run("tariffs", "set-currency", "jpy")
