"""The quick first plan and its two orders."""

from __future__ import annotations

from dataclasses import replace

from clubplanner.sharing import Effort, check
from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.places.first_plan import fill_plan
from clubplanner.sharing.places.listing import list_candidates
from clubplanner.sharing.solving.solve import solve
from tests.sharing.builders import make_ask, make_pitch, make_problem


def test_whole_pitches_do_not_keep_out_those_that_could_share_them() -> None:
    """One whole pitch or three thirds in the only hour: cheapest first takes the thirds."""
    whole, *thirds = make_pitch(cuts=("whole", "thirds"))
    asks = [make_ask("w", least_share=1.0), *(make_ask(key) for key in "abc")]
    asks = [replace(ask, possible=(replace(ask.possible[0], end_min=1140),)) for ask in asks]
    problem = make_problem((whole, *thirds), *asks)
    terrain = survey(problem)
    rows = list_candidates(terrain)
    assert len(fill_plan(terrain, rows)) == 1
    assert len(fill_plan(terrain, rows, cheapest_first=True)) == 3
    outcome = solve(problem, Effort(seconds=2))
    assert outcome.placed == 3
    assert check(problem, outcome.placements) == ()
