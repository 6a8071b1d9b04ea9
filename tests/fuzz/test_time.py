"""A long fuzz sends requests for as long as it is told to, however long it takes to begin."""

from __future__ import annotations

import sys
import time
from types import SimpleNamespace
from typing import TYPE_CHECKING, Any

from tests.fuzz import __main__ as command

if TYPE_CHECKING:
    import pytest


def test_the_time_begins_with_the_first_request(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Routes that take a day to gather leave the minutes as they are."""
    clock = [0.0]
    rounds: list[int] = []

    def gather(_folder: object) -> tuple[Any, Any]:
        clock[0] += 24 * 3600
        return SimpleNamespace(), SimpleNamespace(routes=[], forms={})

    def send(
        _site: object, _offers: object, number: int, *_more: object, only: object
    ) -> list[Any]:
        clock[0] += 50
        rounds.append(number)
        return []

    monkeypatch.setattr(command, "open_site", gather)
    monkeypatch.setattr(command, "run_round", send)
    monkeypatch.setattr(time, "monotonic", lambda: clock[0])
    monkeypatch.setattr(sys, "argv", ["fuzz", "requests", "--minutes", "5"])
    assert command.main() == 0
    assert len(rounds) == 7
    assert "1400 requests" in capsys.readouterr().out
