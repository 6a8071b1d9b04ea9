"""Kills leave time to work between them, and some of them hit what has just begun."""

from __future__ import annotations

import threading
from dataclasses import dataclass
from typing import TYPE_CHECKING

from tests.torture import killing
from tests.torture.killing import BLOW_ON_BLOW, Kills, kill_at_random
from tests.torture.processes import Part

if TYPE_CHECKING:
    import pytest

LOOKS = 4
"""How often a part is looked at until it is up."""


@dataclass(slots=True)
class Slow(Part):
    """A part that takes long to begin, and notes whether it was up when it was killed."""

    looks: int = LOOKS
    was_up: int = 0

    def start(self) -> None:
        """Begin."""
        self.looks = 0

    def is_up(self) -> bool:
        """Tell whether it was looked at often enough."""
        self.looks += 1
        return self.looks >= LOOKS

    def kill(self) -> None:
        """Note how it was."""
        self.was_up += self.looks >= LOOKS


def run(parts: list[Slow], monkeypatch: pytest.MonkeyPatch, least: int) -> None:
    """Kill them much faster than they begin."""
    monkeypatch.setattr(killing, "TICK_S", 0.0)
    plan = Kills(seed=1, mean_s=1e-6, seconds=0, least=least)
    kill_at_random(plan, parts, lambda: False, threading.Event(), lambda _words: None)


def test_most_kills_come_when_all_is_up_again(monkeypatch: pytest.MonkeyPatch) -> None:
    """However short the pause; about as many as chance says come before."""
    parts = [Slow(f"part {n}") for n in range(3)]
    run(parts, monkeypatch, 400)
    up, kills = sum(part.was_up for part in parts), sum(part.kills for part in parts)
    assert kills == 400
    assert up / kills > 1 - BLOW_ON_BLOW
    assert up < kills


def test_what_never_comes_back_holds_nobody_up(monkeypatch: pytest.MonkeyPatch) -> None:
    """The others are killed on, so that the run ends and its verdict can tell."""
    gone = Slow("gone")
    monkeypatch.setattr(Slow, "is_up", lambda part: part is not gone)
    monkeypatch.setattr(killing, "MOST_WAIT_S", 0.001)
    run([gone, Slow("there")], monkeypatch, 20)
    assert gone.kills
