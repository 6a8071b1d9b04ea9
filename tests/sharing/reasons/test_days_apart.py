"""What would set a squad's sessions further apart, and what that would cost whom."""

from __future__ import annotations

from clubplanner.domain.club.spread import follow_each_other, nearness
from clubplanner.sharing import Ask, Placement, Problem, Window, check
from clubplanner.sharing.reasons.days_apart import way_apart
from tests.sharing.brute import every_place, wish
from tests.sharing.builders import make_ask, make_days, make_pitch, make_problem

FOUR_DAYS = tuple(Window(day, 1080, 1140) for day in range(4))
WHOLE = "top-whole-0"


def put(ask: str, session: int, day: int) -> Placement:
    """Put a session of an ask on the only pitch on a day."""
    return Placement(ask, session, WHOLE, day, 1080, 1140)


def club(*asks: Ask) -> Problem:
    """Return asks that share one pitch, which has room for one session on each of four days."""
    return make_problem(make_pitch(), *asks, days=make_days(4, 4))


def near(plan: list[Placement], ask: str) -> int:
    """Count how near the sessions of an ask lie; days are numbered from Monday."""
    return nearness([item.day for item in plan if item.ask == ask], follow_each_other)


def test_a_free_place_is_found_with_what_it_costs() -> None:
    """Of every place on another day it is the one that costs the squad least."""
    ask = make_ask("a", sessions=2, possible=FOUR_DAYS, preferred=FOUR_DAYS[:2])
    problem = club(ask)
    plan = [put("a", 0, 0), put("a", 1, 1)]
    way = way_apart(problem, plan, "squad a")
    assert way is not None
    old, option = way
    assert option.steps == ()
    points = [
        wish(problem, place) - wish(problem, item)
        for item in plan
        for place in every_place(problem, ask)
        for rest in ([one for one in plan if one != item],)
        if not check(problem, [*rest, place]) and near([*rest, place], "a") < near(plan, "a")
    ]
    assert option.points == max(points) == -40
    after = [item for item in plan if item != old] + [option.placement]
    assert near(after, "a") == 0


def test_two_squads_exchange_and_both_are_told() -> None:
    """The holder's way and its loss are told, and the plan then breaks no rule."""
    problem = club(
        make_ask("a", sessions=2, possible=FOUR_DAYS[:3]),
        make_ask("b", possible=FOUR_DAYS[1:3], preferred=FOUR_DAYS[2:3]),
    )
    plan = [put("a", 0, 0), put("a", 1, 1), put("b", 0, 2)]
    way = way_apart(problem, plan, "squad a")
    assert way is not None
    old, option = way
    assert (old, option.points) == (plan[1], 0)
    assert [(step.squad_name, step.new.day, step.points) for step in option.steps] == [
        ("Squad b", 1, -40)
    ]
    gone = {old, option.steps[0].old}
    after = [*(set(plan) - gone), option.placement, option.steps[0].new]
    assert check(problem, after) == ()


def test_nothing_that_only_moves_the_trouble_to_another_squad() -> None:
    """Where the holder would then train on neighbouring days, the change is none."""
    problem = club(
        make_ask("a", sessions=2, possible=FOUR_DAYS[:3]),
        make_ask("b", sessions=2, possible=(FOUR_DAYS[1], FOUR_DAYS[2], Window(0, 1140, 1200))),
    )
    plan = [put("a", 0, 0), put("a", 1, 1), put("b", 1, 2)]
    plan.append(Placement("b", 0, WHOLE, 0, 1140, 1200))
    assert check(problem, plan) == ()
    assert way_apart(problem, plan, "squad a") is None


def test_pinned_sessions_stay() -> None:
    """What a person has put somewhere is no change to offer, be it the squad's or a holder's."""
    fixed = put("b", 0, 2)
    problem = club(
        make_ask("a", sessions=2, possible=FOUR_DAYS[:3], pinned=(put("a", 0, 0),)),
        make_ask("b", possible=FOUR_DAYS[1:3], pinned=(fixed,)),
    )
    assert way_apart(problem, [put("a", 0, 0), put("a", 1, 1), fixed], "squad a") is None
    free = club(make_ask("a", sessions=2, possible=FOUR_DAYS, pinned=(put("a", 0, 0),)))
    way = way_apart(free, [put("a", 0, 0), put("a", 1, 1)], "squad a")
    assert way is not None
    assert way[0].session == 1
