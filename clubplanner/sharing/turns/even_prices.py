"""Weights and prices by which a sum proves how small the worst burden of turns can be at all.

However turns are taken, the worst burden is no less than a weighted mean of all. In that mean each
place is had as often as there are turns; so a price put on a place, the same for everybody, adds
the same to it. At prices every member takes at least what is cheapest for it. Which weights and
prices prove most is a linear program (duality: D. Gale, H. W. Kuhn, A. W. Tucker, 1951); the sum
holds for any, so that they are rounded without harm.
"""

from __future__ import annotations

from math import gcd
from typing import TYPE_CHECKING

from ortools.linear_solver.python import model_builder

if TYPE_CHECKING:
    from collections.abc import Sequence

PARTS = 1_000_000
"""Weights are rounded to parts of their sum of about this size."""


def even_prices(
    burdens: Sequence[Sequence[int | None]],
    allowed: Sequence[Sequence[bool]],
    carried: Sequence[int],
    periods: int,
) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """Find weights of members and prices of places that prove a large least worst burden.

    Args:
        burdens: For each member what each place costs it.
        allowed: For each member which places it can have; a perfect matching exists.
        carried: What each member carries from before.
        periods: How many turns.

    Returns:
        Weights, 0 or more and not all 0, and prices; equal weights and no prices where the program
        was not solved.
    """
    size = len(carried)
    model = model_builder.Model()  # type: ignore[no-untyped-call]
    endless = float("inf")
    weights = [model.new_num_var(0, 1, "") for _ in range(size)]
    gains = [model.new_num_var(-endless, endless, "") for _ in range(size)]
    prices = [model.new_num_var(-endless, endless, "") for _ in range(size)]
    for i, row in enumerate(allowed):
        for j, is_allowed in enumerate(row):
            if is_allowed:
                costs = [float(burdens[i][j] or 0), -1.0, -1.0]
                left = model_builder.LinearExpr.weighted_sum(
                    [weights[i], gains[i], prices[j]], costs
                )
                model.add_linear_constraint(left, lb=0)
    model.add_linear_constraint(model_builder.LinearExpr.sum(weights), lb=1, ub=1)
    if prices:
        model.add_linear_constraint(1 * prices[0], lb=0, ub=0)
    aim = [*map(float, carried), *[float(periods)] * (2 * size)]
    model.maximize(model_builder.LinearExpr.weighted_sum([*weights, *gains, *prices], aim))
    solver = model_builder.Solver("GLOP")
    if solver.solve(model) != model_builder.SolveStatus.OPTIMAL:
        return (1,) * size, (0,) * size
    whole = [max(0, round(PARTS * float(solver.value(one)))) for one in weights]
    priced = [round(PARTS * float(solver.value(one))) for one in prices]
    common = gcd(*whole, *priced) or 1
    return tuple(one // common for one in whole), tuple(one // common for one in priced)
