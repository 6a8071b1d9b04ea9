"""Parts are killed at random (seeded) times, most of them once all is up again.

A server takes seconds to begin and PostgreSQL to recover. Kills that come faster than that find
nobody at work: nothing is changed in such a run, and clients give up before anybody answers. So
most kills wait until every part is up, and the others come on top of the one before, whatever is
beginning then.
"""

from __future__ import annotations

import random
import time
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import threading
    from collections.abc import Callable, Sequence

    from tests.torture.processes import Part

TICK_S = 0.2
BLOW_ON_BLOW = 0.25
"""Of how many kills the next one does not wait until all is up."""
MOST_WAIT_S = 60.0
"""After which it does not wait any more: what does not come back is what the run is to show."""


@dataclass(frozen=True, slots=True)
class Kills:
    """When kills come.

    Attributes:
        seed: Of which part dies when.
        mean_s: From one kill to the next, about, counted from when all is up again.
        seconds: For how long.
        least: How many there are at least, however soon all have tried.
    """

    seed: int
    mean_s: float
    seconds: float
    least: int = 0


def kill_at_random(
    kills: Kills,
    parts: Sequence[Part],
    is_tried: Callable[[], bool],
    stop: threading.Event,
    say: Callable[[str], object],
) -> None:
    """Kill one part after the other and start it again, until the time is up or all is tried.

    Args:
        kills: When.
        parts: What.
        is_tried: Whether all have tried what they were to try.
        stop: Is set at the end; who sets it before that ends it.
        say: Is told how far it is, now and then.
    """
    chance = random.Random(f"{kills.seed} kills")  # noqa: S311 - not for secrets
    until = time.monotonic() + kills.seconds
    told = time.monotonic()
    done = 0
    pause_s = chance.expovariate(1 / kills.mean_s)
    while not stop.is_set() and (
        done < kills.least or (time.monotonic() < until and not is_tried())
    ):
        _rest(pause_s, parts, stop)
        part = chance.choice(parts)
        part.kill()
        part.kills += 1
        part.start()
        done += 1
        pause_s = chance.expovariate(1 / kills.mean_s)
        if chance.random() >= BLOW_ON_BLOW:
            _wait_until_up(parts, stop)
        if time.monotonic() > told + 30:
            told = time.monotonic()
            say(f"{done} kills, {until - told:.0f} s left")
    stop.set()


def _rest(seconds: float, parts: Sequence[Part], stop: threading.Event) -> None:
    until = time.monotonic() + seconds
    while (left := until - time.monotonic()) > 0 and not stop.is_set():
        stop.wait(min(TICK_S, left))
        for part in parts:
            part.mend()


def _wait_until_up(parts: Sequence[Part], stop: threading.Event) -> None:
    until = time.monotonic() + MOST_WAIT_S
    while time.monotonic() < until and not stop.is_set():
        for part in parts:
            part.mend()
        if all(part.is_up() for part in parts):
            return
        stop.wait(TICK_S)
