"""How much work explaining is, counted rather than timed."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, Any

import pytest

from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.places import listing, placements
from clubplanner.sharing.reasons.reasons import explain
from clubplanner.sharing.rules import book
from tests.sharing.builders import planned

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from clubplanner.sharing.ground.terrain import Terrain


@pytest.fixture
def looks(monkeypatch: pytest.MonkeyPatch) -> Counter[tuple[int, int, bytes]]:
    """Count how often the rules are evaluated for sessions of one length, day and starts."""
    counted: Counter[tuple[int, int, bytes]] = Counter()

    def look_at(terrain: Terrain, minutes: int, day: int, starts: NDArray[Any]) -> Any:
        counted[minutes, day, starts.tobytes()] += 1
        return book.look_at(terrain, minutes, day, starts)

    for module in (listing, placements):
        monkeypatch.setattr(module, "look_at", look_at)
    return counted


def test_no_rule_is_evaluated_twice_for_the_same_places(
    looks: Counter[tuple[int, int, bytes]],
) -> None:
    """Over all refused asks, each length, day and set of starts is looked at once."""
    problem, plan = planned(20, 2, 4, 1.2)
    looks.clear()
    refusals = explain(survey(problem), plan, is_proved=False)
    assert len(refusals) > 5
    assert any(change.moves for refusal in refusals for change in refusal.changes)
    assert set(looks.values()) == {1}
