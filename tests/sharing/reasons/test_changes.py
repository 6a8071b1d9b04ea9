"""A change that helps: two others move out of the way."""

from __future__ import annotations

from dataclasses import replace

from clubplanner.sharing import Placement, Window, check
from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.reasons.reasons import explain
from clubplanner.sharing.reasons.telling.changes import tell_change
from tests.sharing.builders import make_ask, make_pitch, make_problem

EARLY = (Window(0, 1080, 1140),)
PROBLEM = make_problem(
    make_pitch(cuts=("whole", "halves")),
    make_ask("a", least_share=0.5),
    make_ask("b", least_share=0.5),
    make_ask("c", least_share=1.0, possible=EARLY),
)
PLAN = (
    Placement("a", 0, "top-halves-0", 0, 1080, 1140),
    Placement("b", 0, "top-halves-1", 0, 1080, 1140),
)


def test_two_who_can_both_go_later_are_named() -> None:
    """The whole pitch is wanted at six; both halves could be had at seven as well."""
    (refusal,) = explain(survey(PROBLEM), PLAN, is_proved=False)
    change = refusal.changes[0]
    assert change.code == "others move"
    assert tell_change(change) == (
        "There is room on Monday 18:00–19:00, top whole 1 if Squad a moves to Monday 19:00–20:00, "
        "top halves 1 and Squad b moves to Monday 19:00–20:00, top halves 2."
    )
    assert check(PROBLEM, (*change.moves, change.placement)) == ()


def test_nobody_is_moved_who_cannot_go() -> None:
    """One of the two is pinned, or has no other hour; and where it is proved, nobody is asked."""
    pinned = replace(PROBLEM.asks[1], pinned=(PLAN[1],))
    fixed = replace(PROBLEM, asks=(PROBLEM.asks[0], pinned, PROBLEM.asks[2]))
    bound = replace(PROBLEM.asks[1], possible=EARLY)
    early = replace(PROBLEM, asks=(PROBLEM.asks[0], bound, PROBLEM.asks[2]))
    for problem, is_proved in ((fixed, False), (early, False), (PROBLEM, True)):
        (refusal,) = explain(survey(problem), PLAN, is_proved=is_proved)
        assert all(change.code != "others move" for change in refusal.changes)


def test_where_every_day_is_possible_no_other_day_is_offered() -> None:
    """A change that changes nothing is none: hours on every day of the plan are named already."""
    problem = make_problem(make_pitch(), make_ask("a"), make_ask("b", possible=EARLY))
    (refusal,) = explain(
        survey(problem), (Placement("b", 0, "top-whole-0", 0, 1080, 1140),), is_proved=False
    )
    assert refusal.ask == "a"
    assert [change for change in refusal.changes if change.ask == problem.asks[0]] == []


def test_an_ask_that_could_be_placed_as_it_is_needs_no_change() -> None:
    """A plan by hand, or one whose time ran out, may leave ground free: nobody has to want less."""
    problem = make_problem(
        make_pitch(cuts=("whole", "halves")), make_ask("a", minutes=90, least_share=1.0)
    )
    (refusal,) = explain(survey(problem), (), is_proved=False)
    assert refusal.changes == ()
