"""How often each squad takes each slot, so that burdens come out as even as can be."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from ortools.sat.python import cp_model

from clubplanner.sharing.model.solvers import new_solver
from clubplanner.sharing.turns.permutations import perfect_matching
from clubplanner.sharing.values.brake import Brake

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

STEPS_A_SECOND = 0.5
"""The solver's deterministic time taken as a second, so that results repeat."""


@dataclass(frozen=True, slots=True)
class Counts:
    """How often each squad (row) takes each slot (column).

    Attributes:
        counts: The numbers; each row and column adds up to the number of turns.
        is_proved: Whether the worst burden, and then the sum of squares, is proved least.
        worst: The worst burden of the fairest counts, which these may pass by the slack.
    """

    counts: tuple[tuple[int, ...], ...]
    is_proved: bool
    worst: int


def fairest_counts(
    burdens: Sequence[Sequence[int | None]],
    allowed: Sequence[Sequence[bool]],
    carried: Sequence[int],
    periods: int,
    seconds: float,
    slack: int = 0,
    before: Sequence[int | None] = (),
    brake: Brake | None = None,
) -> Counts:
    """Find the fairest counts, and among them ones that need few changes.

    Args:
        burdens: For each squad what each slot costs it.
        allowed: For each squad which slots it can have; a perfect matching exists.
        carried: What each squad carries from before.
        periods: How many turns.
        seconds: About how long to try.
        slack: By how much burdens may pass the worst and the best of the fairest counts where
            that makes for fewer changes.
        before: The slot that each squad has before the first turn, or None; empty for none.
        brake: Ends it early with the best counts so far.

    Returns:
        Counts with the least worst burden, and among those with the least sum of squares of
        what each squad carries above the least that any could.
    """
    size = len(allowed)
    if not size:
        return Counts((), is_proved=True, worst=0)
    brake = brake or Brake()
    model = cp_model.CpModel()
    times = _add_times(model, allowed, periods)
    totals = _add_totals(model, times, burdens, carried, periods)
    floor = least_burden(burdens, allowed, carried, periods)
    worst = model.new_int_var(floor, 10**9, "worst")
    model.add_max_equality(worst, totals)
    matching = perfect_matching(allowed) or ()
    values = {(i, j): periods * (matching[i] == j) for i, j in times}
    model.minimize(worst)
    values, found, is_worst_proved = _solve(model, times, values, worst, seconds / 3, brake)
    if found is not None:
        model.add(worst <= found)
    squares = []
    for n, total in enumerate(totals):
        square = model.new_int_var(0, 10**15, f"square {n}")
        model.add_multiplication_equality(square, [total - floor, total - floor])
        squares.append(square)
    model.minimize(sum(squares))
    values, _, is_proved = _solve(model, times, values, worst, seconds / 3, brake)
    ends = [
        own + sum((row[j] or 0) * values[i, j] for j in range(size) if (i, j) in times)
        for i, (own, row) in enumerate(zip(carried, burdens, strict=True))
    ]
    if slack == 0:
        model.add(worst <= max(ends))
        model.add(sum(squares) <= sum((end - floor) ** 2 for end in ends))
    else:
        model = cp_model.CpModel()
        times = _add_times(model, allowed, periods)
        for total in _add_totals(model, times, burdens, carried, periods):
            model.add_linear_constraint(total, min(ends) - slack, max(ends) + slack)
    _minimize_slots(model, times, periods, before)
    values, _, _ = _solve(model, times, values, None, seconds / 3, brake)
    rows = (tuple(values.get((i, j), 0) for j in range(size)) for i in range(size))
    return Counts(tuple(rows), is_proved and is_worst_proved, max(ends))


def _minimize_slots(
    model: cp_model.CpModel,
    times: Mapping[tuple[int, int], cp_model.IntVar],
    periods: int,
    before: Sequence[int | None],
) -> None:
    """Minimise how many slots squads get to see: fewer slots, fewer changes."""
    terms = []
    for (i, j), variable in times.items():
        is_used = model.new_bool_var(f"{i} sees {j}")
        model.add(variable <= periods * is_used)
        is_new = not before or before[i] is None or before[i] != j
        terms.append(is_used if is_new else 0 * is_used)
    model.minimize(sum(terms))


def least_burden(
    burdens: Sequence[Sequence[int | None]],
    allowed: Sequence[Sequence[bool]],
    carried: Sequence[int],
    periods: int,
) -> int:
    """Compute the least burden that any squad could end with; squares count from there."""
    return min(
        own + periods * min(cost or 0 for cost, fits in zip(row, fitting, strict=True) if fits)
        for own, row, fitting in zip(carried, burdens, allowed, strict=True)
    )


def _add_times(
    model: cp_model.CpModel, allowed: Sequence[Sequence[bool]], periods: int
) -> dict[tuple[int, int], cp_model.IntVar]:
    times = {
        (i, j): model.new_int_var(0, periods, f"{i} in {j}")
        for i, row in enumerate(allowed)
        for j, is_allowed in enumerate(row)
        if is_allowed
    }
    for n in range(len(allowed)):
        model.add(sum(times[i, j] for i, j in times if i == n) == periods)
        model.add(sum(times[i, j] for i, j in times if j == n) == periods)
    return times


def _add_totals(
    model: cp_model.CpModel,
    times: Mapping[tuple[int, int], cp_model.IntVar],
    burdens: Sequence[Sequence[int | None]],
    carried: Sequence[int],
    periods: int,
) -> list[cp_model.IntVar]:
    totals = []
    for i, row in enumerate(burdens):
        own = {j: row[j] or 0 for j in range(len(row)) if (i, j) in times}
        low = carried[i] + periods * min(own.values())
        high = carried[i] + periods * max(own.values())
        total = model.new_int_var(low, high, f"burden of {i}")
        model.add(total == carried[i] + sum(cost * times[i, j] for j, cost in own.items()))
        totals.append(total)
    return totals


def _solve(
    model: cp_model.CpModel,
    times: Mapping[tuple[int, int], cp_model.IntVar],
    values: dict[tuple[int, int], int],
    worst: cp_model.IntVar | None,
    seconds: float,
    brake: Brake,
) -> tuple[dict[tuple[int, int], int], int | None, bool]:
    """Better the values; give them back with the worst burden and whether that is the optimum."""
    if brake.is_pulled:
        return values, None, False
    model.clear_hints()  # type: ignore[no-untyped-call]
    for key, variable in times.items():
        model.add_hint(variable, values[key])
    solver = new_solver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    solver.parameters.linearization_level = 2
    solver.parameters.max_deterministic_time = max(0.1, seconds * STEPS_A_SECOND)
    with brake.holding(solver):
        status = solver.solve(model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return values, None, False
    found = {key: solver.value(variable) for key, variable in times.items()}
    return found, None if worst is None else solver.value(worst), status == cp_model.OPTIMAL
