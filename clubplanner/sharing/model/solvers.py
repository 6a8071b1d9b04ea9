"""A solver as all searches begin with it."""

from __future__ import annotations

from ortools.sat.python import cp_model


def new_solver() -> cp_model.CpSolver:
    """Return a solver that leaves Ctrl-C to the program.

    By itself a solver ends at Ctrl-C without a word, and the next one of the same search begins:
    the program would never hear of it. Who is to end a search pulls its brake.
    """
    solver = cp_model.CpSolver()
    solver.parameters.catch_sigint_signal = False
    return solver


def was_cut(solver: cp_model.CpSolver, status: cp_model.CpSolverStatus, steps: float) -> bool:
    """Tell whether the clock or the brake ended a search, and not its steps.

    A solver that sees that it will be late ends some time before its clock does, so that the clock
    does not tell.

    Args:
        solver: One that has searched.
        status: How it ended.
        steps: The deterministic time that it was given.
    """
    is_open = status in (cp_model.FEASIBLE, cp_model.UNKNOWN)
    return is_open and float(solver.response_proto.deterministic_time) < steps
