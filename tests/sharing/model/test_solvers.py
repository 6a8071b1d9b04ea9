"""What ended a solver."""

from __future__ import annotations

from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.model.model import ShareModel
from clubplanner.sharing.model.solvers import new_solver, was_cut
from clubplanner.sharing.places.alone import best_alone
from clubplanner.sharing.places.listing import list_candidates
from clubplanner.sharing.places.merging import merge
from clubplanner.sharing.values.levels import PLACING
from tests.sharing.builders import make_club


def _ended(squads: int, steps: float, clock: float) -> bool:
    """Search a club on one pitch, and tell whether the clock ended it."""
    terrain = survey(make_club(squads, pitches=1))
    rows = list_candidates(terrain)
    share = ShareModel(terrain, merge(terrain, rows), best_alone(terrain, rows), rows)
    share.model.maximize(share.aim(PLACING))
    solver = new_solver()
    solver.parameters.num_workers = 1
    solver.parameters.max_deterministic_time = steps
    solver.parameters.max_time_in_seconds = clock
    status = solver.solve(share.model)
    return was_cut(solver, status, steps)


def test_the_clock_is_told_from_steps_and_from_a_proof() -> None:
    """A search that ends by its clock is cut, one that ends by its steps or its proof is not."""
    assert _ended(40, steps=1e6, clock=0.05)
    assert not _ended(40, steps=0.01, clock=1e3)
    assert not _ended(1, steps=1e6, clock=1e3)
