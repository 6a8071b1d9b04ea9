"""What a process does with its part, and which part it is given next."""

from __future__ import annotations

from clubplanner.sharing import Effort, Window, check
from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.parts.cutting import Cutter
from clubplanner.sharing.parts.looking import look
from clubplanner.sharing.parts.near import Neighbourhoods
from clubplanner.sharing.parts.whole import Whole
from clubplanner.sharing.parts.working import work_on
from clubplanner.sharing.places.first_plan import fill_plan
from clubplanner.sharing.places.listing import list_candidates
from clubplanner.sharing.places.placements import placements_of_rows
from clubplanner.sharing.values.brake import Brake
from tests.sharing.builders import make_ask, make_days, make_finely_cut, make_pitch, make_problem
from tests.sharing.places.test_refilling import BEST_KNOWN


def test_a_quick_plan_is_bettered_by_exchanges() -> None:
    """On a finely cut pitch it has more than those made one session after the other, or rounded."""
    problem = make_finely_cut(1)
    cutter = Cutter(problem, look(survey(problem)).best.tolist())
    part = cutter.cut({}, ["top"], [ask.key for ask in problem.asks], 0)
    done = work_on(part, Effort(seconds=60), Brake())
    assert len(done.placements) >= 0.95 * BEST_KNOWN[1]
    assert check(problem, done.placements) == ()


def test_placing_is_bettered_about_squads_that_have_nothing_half_the_time() -> None:
    """One squad of many that miss a session has none at all, and is looked at far more often."""
    days = make_days(3)
    windows = tuple(Window(day, 1080, 1140) for day in range(3))
    asks = [make_ask(f"{n}", sessions=2, possible=windows[:2]) for n in range(20)]
    grounds = tuple(g for n in range(20) for g in make_pitch(f"p{n}"))
    bare = make_ask("bare", possible=windows)
    problem = make_problem(grounds, *asks, bare, days=days)
    terrain = survey(problem)
    rows = list_candidates(terrain)
    full = placements_of_rows(terrain, rows, fill_plan(terrain, rows).tolist())
    start = [item for item in full if item.ask != "bare" and item.day == 0]
    near = Neighbourhoods(Whole(terrain, look(terrain), start), seed=1)
    assert len(near.open_asks()) == 21
    seeds = [near.choose("placing sessions", 3, (), ()) for _ in range(60)]
    about_it = sum(found is not None and "bare" in found.free for found in seeds)
    assert about_it >= 20
