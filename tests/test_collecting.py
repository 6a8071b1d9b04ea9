"""How often a process that serves looks for objects that only refer to each other."""

from __future__ import annotations

import gc
import weakref
from typing import TYPE_CHECKING

import pytest

from clubplanner.collecting import YOUNG, collect_seldom

if TYPE_CHECKING:
    from collections.abc import Iterator


class Ring:
    """Refers to itself, so that it goes only when it is looked for."""

    def __init__(self) -> None:
        self.own = self


@pytest.fixture(autouse=True)
def thresholds() -> Iterator[None]:
    """Put back how often this process looked."""
    before = gc.get_threshold()
    yield
    gc.set_threshold(*before)


def test_what_is_there_is_not_looked_through_again() -> None:
    """All that the program loaded is left alone; a full look comes less often than usually."""
    kept = gc.get_freeze_count()
    rings = [Ring() for _ in range(1000)]
    collect_seldom()
    assert gc.get_freeze_count() >= kept + len(rings)
    assert gc.get_threshold()[0] == YOUNG


def test_rings_made_later_still_go() -> None:
    """Nothing that a request leaves behind stays for good."""
    collect_seldom()
    gone = weakref.ref(Ring())
    assert gone() is not None
    held: list[list[None]] = [
        [] for _ in range(2 * YOUNG)
    ]  # as many as make the youngest be looked through
    assert gone() is None
    assert len(held) == 2 * YOUNG
