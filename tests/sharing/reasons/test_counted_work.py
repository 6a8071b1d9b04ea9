"""How much work explaining is, counted rather than timed."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, Any

import pytest

from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.places import listing, placements
from clubplanner.sharing.reasons.reasons import ALWAYS_EXPLAINED, explain, explain_ask
from clubplanner.sharing.rules import book
from clubplanner.sharing.values.outcome import LEFT_OUT
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


def test_what_there_is_no_time_for_is_left_out_and_says_so() -> None:
    """The first dozen are explained, the others say that they can be explained by themselves."""
    problem, plan = planned(30, 3, 5, 1.3)
    terrain = survey(problem)
    whole = explain(terrain, plan, is_proved=False)
    cut = explain(terrain, plan, is_proved=False, has_time=lambda: False)
    assert len(whole) > ALWAYS_EXPLAINED
    assert cut[:ALWAYS_EXPLAINED] == whole[:ALWAYS_EXPLAINED]
    for short, full in zip(cut[ALWAYS_EXPLAINED:], whole[ALWAYS_EXPLAINED:], strict=True):
        assert (short.ask, short.missing, short.changes) == (full.ask, full.missing, ())
        assert [reason.code for reason in short.reasons] == [LEFT_OUT]
        assert explain_ask(problem, plan, short.ask, is_proved=False) == full


def test_reasons_come_before_what_would_help() -> None:
    """With time for the reasons alone, each refused ask has them and says what is missing."""
    problem, plan = planned(30, 3, 5, 1.3)
    terrain = survey(problem)
    whole = explain(terrain, plan, is_proved=False)
    questions = iter(range(len(whole) - ALWAYS_EXPLAINED))
    cut = explain(
        terrain, plan, is_proved=False, has_time=lambda: next(questions, None) is not None
    )
    for short, full in zip(cut[ALWAYS_EXPLAINED:], whole[ALWAYS_EXPLAINED:], strict=True):
        assert short.reasons[:-1] == full.reasons
        assert short.reasons[-1].code == LEFT_OUT
        assert short.changes == ()


def test_an_ask_that_misses_nothing_has_nothing_to_explain() -> None:
    """Nothing is said of an ask with all its sessions; one that does not exist is a mistake."""
    problem, plan = planned(12, 1, 2, 1.5)
    refused = {refusal.ask for refusal in explain(survey(problem), plan, is_proved=False)}
    served = next(ask.key for ask in problem.asks if ask.key not in refused)
    assert explain_ask(problem, plan, served, is_proved=False) is None
    with pytest.raises(ValueError, match="no ask nobody"):
        explain_ask(problem, plan, "nobody", is_proved=False)
