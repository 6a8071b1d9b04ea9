"""Proving an aim that has few values, without looking for the best plan and its bound at once.

A plan bettered piece by piece soon serves its worst-off squad as well as any can; that no plan does
better is then one question, and soon denied: whoever needs a session more for it needs ground.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from ortools.sat.python import cp_model

if TYPE_CHECKING:
    from clubplanner.sharing.model.model import ShareModel
    from clubplanner.sharing.search.search import Search

POLISH_PART, ASK_PART, ALL_PART = 0.04, 0.03, 0.2
"""Parts of the steps left that bettering the plan, one question and all of them may take."""
ASK_STEPS = 0.3
"""Steps that a question may take in any case: fewer answer none, even of a small club."""


def narrow(search: Search, share: ShareModel, name: str, bound: int) -> int:
    """Better the plan on an aim, then ask for a plan that has more; the best one is kept.

    Args:
        search: Has the best plan, and adopts a better one.
        share: The model of the whole.
        name: An aim of which more is better.
        bound: What no plan can pass.

    Returns:
        What no plan can pass: what the plan has where more was denied, else `bound`.
    """
    budget = search.budget
    until = budget.steps + budget.left * ALL_PART
    search.polish(name, bound, POLISH_PART, ALL_PART)  # its few steps shall end it, no clock
    while not search.reaches(name, bound) and budget.steps < until and budget.clock_left > 0:
        value = search.values()[name]
        status = _ask(search, share, name, value + 1, bound)
        if status == cp_model.INFEASIBLE:
            return value
        if search.values()[name] == value:
            break
    return bound


def _ask(
    search: Search, share: ShareModel, name: str, value: int, bound: int
) -> cp_model.CpSolverStatus:
    """Look for a plan with a value at least; one that is found is kept if it can be laid out."""
    aim = share.aim(name)  # adds to the model what it needs
    model = share.model.clone()
    model.add(aim >= value)
    model.clear_objective()  # type: ignore[no-untyped-call]
    steps = min(search.budget.left, max(ASK_STEPS, search.budget.left * ASK_PART))
    clock = search.budget.clock_left * ALL_PART
    solver, status = search.solve(model, name, steps, clock, bound)
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        chosen = [n for n, var in enumerate(share.chosen) if solver.boolean_value(var)]
        search.adopt_and_repair(name, chosen, bound)
    return status
