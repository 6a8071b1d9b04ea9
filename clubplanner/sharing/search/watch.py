"""Watching a solver: its progress is passed on."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ortools.sat.python import cp_model

from clubplanner.sharing.values.outcome import Progress

if TYPE_CHECKING:
    from clubplanner.sharing.search.search import Search


class Watch(cp_model.CpSolverSolutionCallback):
    """Passes the search's progress on; what the receiver raises stops the search first."""

    def __init__(
        self, search: Search, number: int, solver: cp_model.CpSolver, known: int | None = None
    ) -> None:
        """Remember whom to tell.

        Args:
            search: Who is told.
            number: Which aim is worked on.
            solver: What is watched.
            known: What no plan can pass, where the solver works on some of all plans: what it
                finds that none of these can pass is not told. None where it works on all.
        """
        super().__init__()
        self._search = search
        self._number = number
        self._solver = solver
        self._value: int | None = None
        self._known = known
        self._error: BaseException | None = None
        if search.on_progress is not None:
            solver.best_bound_callback = self._on_bound

    def on_solution_callback(self) -> None:
        """Tell of a better plan."""
        self._value = round(self.objective_value)
        self._tell(self.best_objective_bound)

    def _on_bound(self, bound: float) -> None:
        self._tell(bound)

    def _tell(self, bound: float) -> None:
        report = self._search.on_progress
        if report is None or self._error is not None:
            return
        told = self._known if self._known is not None else _whole(bound)
        progress = Progress(
            self._number + 1,
            len(self._search.names),
            self._value,
            told,
            self._search.budget.used,
            self._search.names[self._number],
        )
        try:
            report(progress)
        except BaseException as error:
            self._error = error
            self._solver.stop_search()

    def raise_again(self) -> None:
        """Raise what the receiver of progress raised, if anything."""
        if self._error is not None:
            raise self._error


def _whole(bound: float) -> int | None:
    return round(bound) if abs(bound) < 1e15 else None
