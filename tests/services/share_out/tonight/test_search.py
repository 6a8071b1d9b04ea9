"""An evening settled in two searches: what is told is about the plan that is proposed."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from clubplanner.services.problem.standing_plans import Disruption, Standing
from clubplanner.services.problem.tonight import Felt
from clubplanner.services.share_out.tonight.search import Plan, Search
from clubplanner.sharing import Effort, Placement, Problem, Window
from clubplanner.sharing.checks.verifying import verify
from clubplanner.sharing.values.brake import Brake
from tests.sharing.builders import make_ask, make_pitch, make_problem

if TYPE_CHECKING:
    import pytest

    from clubplanner.sharing.again.reshare import Reshared
    from clubplanner.sharing.values.outcome import Outcome

EARLY, LATE = Window(0, 1080, 1140), Window(0, 1140, 1200)
STANDS = Placement("a", 0, "top-whole-0", 0, 1080, 1140)


def one_place_left() -> Problem:
    """Return one pitch with a squad that stands, and room for one of three more.

    The last of them is the one that likes the place best.
    """
    asks = [make_ask(key, preferred=(EARLY,)) for key in "abc"]
    return make_problem(make_pitch(), *asks, make_ask("d", preferred=(LATE,)))


def search(problem: Problem, *, seconds: float = 5.0) -> Plan:
    """Share an evening out on which one squad stands, for three that have no place yet."""
    standing = Standing(problem, (STANDS,), None)
    found = Search(standing, Disruption(fills=True), (), Effort(seconds=seconds), None, Brake())
    return found.squeeze(Felt(problem, {}))


def without(outcome: Outcome) -> set[str]:
    """Return the asks that are told to go without."""
    return {refusal.ask for refusal in outcome.refusals}


def test_whoever_is_told_to_go_without_does(monkeypatch: pytest.MonkeyPatch) -> None:
    """The second search gives the place to whoever likes it best, and the others are told why."""
    first: list[Outcome] = []
    settle = Search._settle_new

    def watched(self: Search, problem: Problem, found: Reshared) -> Reshared:
        first.append(found.outcome)
        return settle(self, problem, found)

    monkeypatch.setattr(Search, "_settle_new", watched)
    plan = search(one_place_left())
    assert without(first[0]) != {"b", "c"}
    assert {place.ask for place in plan.outcome.placements} == {"a", "d"}
    assert without(plan.outcome) == {"b", "c"}
    assert verify(plan.problem, plan.outcome) == ()


def test_how_well_they_are_served_is_of_the_plan_as_well() -> None:
    """Whoever stands is measured against all that they could have, not against where they are."""
    problem = one_place_left()
    asks = tuple(replace(ask, preferred=(LATE,)) if ask.key == "a" else ask for ask in problem.asks)
    plan = search(replace(problem, asks=asks))
    percents = {one.squad: one.percent for one in plan.outcome.satisfactions}
    assert percents["squad a"] < 100
    assert percents["squad d"] == 100
    assert verify(plan.problem, plan.outcome) == ()
