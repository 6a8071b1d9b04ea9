"""The table of aims is complete, and each entry says the same in all that is asked of it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from clubplanner.domain.club.spread import Evenings
from clubplanner.sharing import Pair, PairKind, Price, Problem, Window
from clubplanner.sharing.checks import verifying
from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.model.aim import Over
from clubplanner.sharing.model.aim_book import AIMS, aim_named, aims_of, level_names
from clubplanner.sharing.model.model import ShareModel
from clubplanner.sharing.model.plan_worth import PlanWorth
from clubplanner.sharing.model.solvers import new_solver
from clubplanner.sharing.parts.looking import look
from clubplanner.sharing.parts.whole import most_alone
from clubplanner.sharing.places.alone import best_alone
from clubplanner.sharing.places.first_plan import fill_plan
from clubplanner.sharing.places.listing import list_candidates
from clubplanner.sharing.places.merging import merge
from clubplanner.sharing.values import levels
from clubplanner.sharing.values.levels import COMPACT, COST, EVEN, PLACING, WHOLE_WEEK
from tests.sharing.builders import make_ask, make_days, make_pitch, make_problem

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from clubplanner.sharing.ground.candidates import Candidates
    from clubplanner.sharing.ground.slots import Slots
    from clubplanner.sharing.ground.terrain import Terrain


def make_wishful(evenings: Evenings | None) -> Problem:
    """Return a club of six squads that has an aim of every kind; not all find ground."""
    days = make_days(3, 4)
    every_day = tuple(Window(day, 1080, 1260) for day in range(3))
    asks = [
        make_ask(f"a{n}", sessions=2, possible=every_day, preferred=(Window(n % 3, 1080, 1140),))
        for n in range(6)
    ]
    return make_problem(
        make_pitch("top", cuts=("whole",)) + make_pitch("low", venue="lane", cuts=("whole",)),
        *asks,
        days=days,
        wants_apart=True,
        wants_compact=True,
        evenings=evenings,
        prices=(Price("park", None, 30, 50), Price("lane", None, 7, 9)),
        pairs=(Pair(PairKind.SAME_EVENING, "squad a0", "squad a1", 2),),
    )


def first_plan(
    problem: Problem,
) -> tuple[Terrain, Candidates, Slots, NDArray[np.int64], list[int]]:
    """Return the columns of a problem, what each ask could have alone, and a middling plan."""
    terrain = survey(problem)
    rows = list_candidates(terrain)
    slots = merge(terrain, rows)
    slot_of = {row: slot for slot, members in enumerate(slots.rows) for row in members}
    plan = sorted(slot_of[row] for row in fill_plan(terrain, rows).tolist())
    plan = [slot for slot in plan if (slots.day[slot], slots.start[slot]) != (0, 1140)]
    return terrain, rows, slots, best_alone(terrain, rows), plan


def test_every_aim_that_has_words_has_an_entry() -> None:
    """No aim is named that the table does not know, and none is there twice."""
    named = [word for name, word in vars(levels).items() if name.isupper() and name != "WHOLE_WEEK"]
    assert sorted(aim.name for aim in AIMS) == sorted(named)
    assert {aim.name for aim in AIMS if aim.is_of_week} == set(WHOLE_WEEK)


def test_the_checker_knows_the_same_aims() -> None:
    """It wrote them down by itself: the same, and the same is better."""
    assert {aim.name: aim.is_more_better for aim in AIMS} == verifying.AIMS


def test_some_problem_has_each_aim() -> None:
    """What a problem says decides which aims it has; together these have all."""
    had = {name for evenings in Evenings for name in level_names(make_wishful(evenings))}
    assert had == {aim.name for aim in AIMS}


@pytest.mark.parametrize("evenings", [None, *Evenings])
def test_aims_come_in_the_order_of_the_table(evenings: Evenings | None) -> None:
    """Only evenings that shall be cheap come after cost, and before what is left of it."""
    names = list(level_names(make_wishful(evenings)))
    if evenings is Evenings.CHEAP:
        assert names[-3:] == [COST, EVEN, COMPACT]
        names.remove(EVEN)
    assert names == [aim.name for aim in AIMS if aim.name in names]


@pytest.mark.parametrize("evenings", Evenings)
def test_an_entry_says_the_same_of_a_plan_and_in_a_model(evenings: Evenings) -> None:
    """With a plan's slots fixed, the model has the very value that the plan is measured with."""
    problem = make_wishful(evenings)
    terrain, rows, slots, best, plan = first_plan(problem)
    values = PlanWorth(terrain, slots, best).values(plan)
    assert list(values) == [aim.name for aim in aims_of(problem)]
    assert all(values[name] for name in values if name != COMPACT)
    for name, value in values.items():
        share = ShareModel(terrain, slots, best, rows)
        for slot, variable in enumerate(share.chosen):
            share.model.add(variable == (slot in plan))
        share.model.maximize(aim_named(name).sign * share.aim(name))
        solver = new_solver()
        assert solver.status_name(solver.solve(share.model)) == "OPTIMAL"
        assert round(solver.objective_value) == aim_named(name).sign * value, name


@pytest.mark.parametrize("evenings", Evenings)
def test_no_plan_passes_what_an_entry_says_none_can(evenings: Evenings) -> None:
    """Nor does what is said of parts, without candidates, promise less than with them."""
    problem = make_wishful(evenings)
    terrain, _rows, slots, best, plan = first_plan(problem)
    worth = PlanWorth(terrain, slots, best)
    values = worth.values(plan)
    most = worth.most(values[PLACING])
    loose = most_alone(terrain, look(terrain), range(len(problem.asks)))
    assert list(loose) == list(most) == list(values)
    for name, value in values.items():
        sign = aim_named(name).sign
        assert sign * value <= sign * most[name] <= sign * loose[name], name


def test_a_level_is_no_better_than_its_bound() -> None:
    """Where a plan has more than was said to be possible, the plan is right, and proved."""
    for aim in AIMS:
        level = aim.level(50, 50 - 5 * aim.sign, lambda: 100)
        assert (level.bound, level.is_proved, level.gap) == (50, True, 0.0)
        far = aim.level(50, 50 + 5 * aim.sign, lambda: 200)
        assert not far.is_proved
        assert far.gap == pytest.approx(5 / aim.scale(50, lambda: 200))


def test_what_pieces_have_in_common_is_about_the_week() -> None:
    """Nothing but evenings of venues belongs to all pieces together."""
    assert {aim.name for aim in AIMS if aim.over is Over.COMMON} < set(WHOLE_WEEK)
