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
