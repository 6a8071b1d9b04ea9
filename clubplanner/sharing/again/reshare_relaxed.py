"""What no plan of a model has less of: the bound of its linear relaxation, proved by prices.

The prices of the rows come from a linear solver that counts in floating point. They are rounded,
and what they prove is added up in whole numbers (weak duality), so that no error of the solver can
make the bound too high; bad prices only make it low.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from ortools.linear_solver.python import model_builder

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from ortools.sat.python import cp_model

PARTS = 1_000_000
"""Prices are multiples of a part of so many."""
_Terms = dict[int, int]


@dataclass(frozen=True, slots=True)
class _Row:
    """A sum of variables with its least and its most; None for no limit."""

    terms: _Terms
    least: int | None
    most: int | None


def relaxed_least(model: cp_model.CpModel, steps: float, seconds: float) -> int:
    """Bound the aim of a model from below.

    Rows that are neither linear nor clauses, and those that bind only sometimes, are left out.

    Args:
        model: A model that minimizes; its variables have bounds.
        steps: Steps of the linear solver.
        seconds: Of the clock.

    Returns:
        A whole number that no solution is below.
    """
    proto = model.proto
    domains = [list(variable.domain) for variable in proto.variables]
    bounds = [(int(domain[0]), int(domain[-1])) for domain in domains]
    aim: _Terms = {}
    offset = int(proto.objective.offset)
    for index, factor in zip(proto.objective.vars, proto.objective.coeffs, strict=True):
        aim[index] = aim.get(index, 0) + int(factor)
    rows = [row for row in _rows(proto) if row.terms]
    prices = _prices(bounds, aim, rows, steps, seconds)
    return offset - (-_proved(bounds, aim, rows, prices) // PARTS)


def _rows(proto: cp_model.CpModelProto) -> Iterator[_Row]:
    for rule in proto.constraints:
        if rule.enforcement_literal:
            continue
        if rule.has_linear():
            domain = list(rule.linear.domain)  # the solver's own knows no place from its end
            terms: _Terms = {}
            for index, factor in zip(rule.linear.vars, rule.linear.coeffs, strict=True):
                terms[index] = terms.get(index, 0) + int(factor)
            yield _Row(terms, _limit(domain[0]), _limit(domain[-1]))
        elif rule.has_at_most_one():
            yield _row_of(rule.at_most_one.literals, None, 1)
        elif rule.has_exactly_one():
            yield _row_of(rule.exactly_one.literals, 1, 1)
        elif rule.has_bool_or():
            yield _row_of(rule.bool_or.literals, 1, None)


def _limit(value: int) -> int | None:
    return int(value) if abs(value) < 1 << 60 else None


def _row_of(literals: Sequence[int], least: int | None, most: int | None) -> _Row:
    """Write how many of some literals are true as a sum; a negative one is a denied variable."""
    terms: _Terms = {}
    denied = 0
    for literal in literals:
        index, factor = (literal, 1) if literal >= 0 else (-literal - 1, -1)
        terms[index] = terms.get(index, 0) + factor
        denied += literal < 0
    lower = None if least is None else least - denied
    upper = None if most is None else most - denied
    return _Row(terms, lower, upper)


def _prices(
    bounds: Sequence[tuple[int, int]],
    aim: _Terms,
    rows: Sequence[_Row],
    steps: float,
    seconds: float,
) -> list[int]:
    """Solve the relaxation for the prices of its rows; where that fails they are all 0."""
    program = model_builder.Model()  # type: ignore[no-untyped-call]
    variables = [program.new_num_var(least, most, "") for least, most in bounds]
    held = []
    for row in rows:
        total = _sum(variables, row.terms)
        lower = -float("inf") if row.least is None else row.least
        upper = float("inf") if row.most is None else row.most
        held.append(program.add_linear_constraint(total, lower, upper))
    program.minimize(_sum(variables, aim))
    solver = model_builder.Solver("GLOP")
    solver.set_time_limit_in_seconds(max(0.05, seconds))
    solver.set_solver_specific_parameters(f"max_deterministic_time: {steps}")
    if solver.solve(program) != model_builder.SolveStatus.OPTIMAL:
        return [0] * len(rows)
    return [round(solver.dual_value(row) * PARTS) for row in held]


def _sum(variables: Sequence[model_builder.Variable], terms: _Terms) -> model_builder.LinearExprT:
    total: model_builder.LinearExprT = model_builder.LinearExpr.weighted_sum(
        [variables[index] for index in terms], list(terms.values())
    )
    return total


def _proved(
    bounds: Sequence[tuple[int, int]], aim: _Terms, rows: Sequence[_Row], prices: Sequence[int]
) -> int:
    """Add up what prices prove of an aim, in parts.

    The aim is what the rows come to at their prices, which is at least the limit on that side, and
    what is left of it for each variable, which is at least that at one of its bounds.
    """
    left = {index: factor * PARTS for index, factor in aim.items()}
    total = 0
    for row, price in zip(rows, prices, strict=True):
        limit = row.least if price > 0 else row.most
        if price == 0 or limit is None:
            continue
        total += price * limit
        for index, factor in row.terms.items():
            left[index] = left.get(index, 0) - price * factor
    return total + sum(
        min(factor * bounds[index][0], factor * bounds[index][1]) for index, factor in left.items()
    )
