"""All that keeps an ask from places that would do is told: limits, rest, people and their way."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pytest

from clubplanner.sharing import LoadLimit, Placement, Problem, Window, check
from clubplanner.sharing.example.example import example
from clubplanner.sharing.example.example_wants import with_wants
from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.places.first_plan import fill_plan
from clubplanner.sharing.places.listing import list_candidates
from clubplanner.sharing.places.placements import placement_of
from clubplanner.sharing.reasons.held import held_ground, held_people, hold
from clubplanner.sharing.reasons.in_the_way import limits_and_holders
from clubplanner.sharing.reasons.reasons import explain
from clubplanner.sharing.reasons.telling.telling import tell_reason
from clubplanner.sharing.rules.book import too_many
from clubplanner.sharing.values.facts import spot_of
from tests.sharing.builders import make_ask, make_days, make_pitch, make_problem

if TYPE_CHECKING:
    from clubplanner.sharing import Reason

HOUR = (Window(0, 1080, 1140),)


def told(problem: Problem, plan: tuple[Placement, ...], ask: str) -> list[str]:
    """Explain an ask in words."""
    found = explain(survey(problem), plan, is_proved=False)
    return [tell_reason(reason) for one in found if one.ask == ask for reason in one.reasons]


@pytest.mark.parametrize(
    ("surface", "words"),
    [("grass", "the grass may not be used more"), ("artificial", "the ground may not be used")],
)
def test_ground_that_nobody_holds_but_for_a_limit_is_told(surface: str, words: str) -> None:
    """One half is held, the other is free, and the pitch has had its two sessions of the week."""
    grounds = make_pitch(cuts=("halves",), surface=surface)
    asks = make_ask("a", possible=HOUR), make_ask("b", possible=(Window(1, 1080, 1140),))
    late = make_ask("late", possible=HOUR)
    problem = make_problem(
        grounds, *asks, late, days=make_days(2), loads=(LoadLimit("top", most_sessions=2),)
    )
    plan = (
        Placement("a", 0, "top-halves-0", 0, 1080, 1140),
        Placement("b", 0, "top-halves-0", 1, 1080, 1140),
    )
    texts = told(problem, plan, "late")
    assert any(text.startswith("On Monday") and words in text for text in texts), texts
    assert surface == "grass" or not any("grass" in text for text in texts)


def test_a_limit_on_one_of_two_pitches_names_the_ground_that_is_free() -> None:
    """The other pitch is held, so the day is not barred as a whole."""
    grounds = make_pitch(cuts=("halves",)) + make_pitch("back", cuts=("whole",))
    days = make_days(2)
    asks = [make_ask(key, possible=(Window(day, 1080, 1140),)) for key, day in (("a", 1), ("c", 0))]
    late = make_ask("late", possible=HOUR)
    problem = make_problem(
        grounds, *asks, late, days=days, loads=(LoadLimit("top", most_sessions=1),)
    )
    plan = (
        Placement("a", 0, "top-halves-0", 1, 1080, 1140),
        Placement("c", 0, "back-whole-0", 0, 1080, 1140),
    )
    texts = told(problem, plan, "late")
    assert (
        "On Monday nobody is in the way on top halves 1 and top halves 2, but the grass may not be "
        "used more."
    ) in texts
    assert any(text.startswith("Other places that would do on Monday") for text in texts), texts


def test_whoever_comes_from_another_venue_is_told_from_where() -> None:
    """The coach has a session elsewhere until six, and half an hour to go."""
    grounds = make_pitch() + make_pitch("mill", venue="mill")
    asks = [
        make_ask("a", coach="Sam Reed", possible=(Window(0, 1020, 1080),)),
        make_ask("late", coach="Sam Reed", possible=HOUR),
        make_ask("c", possible=HOUR),
    ]
    problem = make_problem(grounds, *asks)
    plan = (
        Placement("a", 0, "mill-whole-0", 0, 1020, 1080),
        Placement("c", 0, "mill-whole-0", 0, 1080, 1140),
    )
    texts = told(problem, plan, "late")
    assert (
        "On Monday Sam Reed would still be on the way from Squad a (mill whole 1, 17:00–18:00)."
    ) in texts


def test_days_of_rest_are_told_beside_holders() -> None:
    """Tuesday is held, Wednesday too near to the session on Thursday."""
    ask = make_ask(
        "late",
        sessions=2,
        rest_days=1,
        possible=tuple(Window(day, 1080, 1140) for day in (1, 2, 3)),
    )
    problem = make_problem(
        make_pitch(), ask, make_ask("b", possible=(Window(1, 1080, 1140),)), days=make_days(4)
    )
    plan = (
        Placement("late", 0, "top-whole-0", 3, 1080, 1140),
        Placement("b", 0, "top-whole-0", 1, 1080, 1140),
    )
    (refusal,) = explain(survey(problem), plan, is_proved=False)
    texts = [tell_reason(reason) for reason in refusal.reasons]
    assert ("On Wednesday there must be a day of rest between it and another session.") in texts
    assert "On Thursday they train already; each session needs its own day." in texts
    change = next(one for one in refusal.changes if one.code == "rest")
    assert change.ask == replace(ask, rest_days=0)
    assert change.placement.day == 2
    asks = (change.ask, problem.asks[1])
    assert check(replace(problem, asks=asks), (*plan, change.placement)) == ()


def test_latest_finish_earliest_start_and_free_days_are_tried() -> None:
    """Each alone would help, and is told with what it would be instead."""
    window = (Window(0, 1020, 1260),)
    held = make_ask("b", possible=(Window(0, 1080, 1140),))
    plan = (Placement("b", 0, "top-whole-0", 0, 1080, 1140),)
    late = make_ask("late", possible=window, latest_finish_min=1140, earliest_start_min=1080)
    (refusal,) = explain(survey(make_problem(make_pitch(), late, held)), plan, is_proved=False)
    found = {change.code: change for change in refusal.changes}
    assert found["later finish"].ask.latest_finish_min == 1200
    assert found["earlier start"].ask.earliest_start_min == 1020
    eve = make_ask("late", possible=window, no_day_before=frozenset({1}))
    (refusal,) = explain(survey(make_problem(make_pitch(), eve)), (), is_proved=False)
    assert [change.code for change in refusal.changes] == ["free days"]


@pytest.mark.parametrize("seed", range(1, 7))
def test_every_place_that_would_do_is_covered_by_a_reason(seed: int) -> None:
    """On invented clubs: each place is held, or needs busy people, or is at a limit, as is told."""
    problem = with_wants(example(16, 2, seed, 1.6), seed)
    terrain = survey(problem)
    rows = list_candidates(terrain)
    plan = [
        placement_of(terrain, rows, row, n)
        for n, row in enumerate(fill_plan(terrain, rows).tolist())
    ]
    held = hold(terrain, plan)
    for number, ask in enumerate(problem.asks):
        if (held.rows.ask == number).sum() >= ask.sessions:
            continue
        places = held.places_of(ask, number, keep_all=True)
        reasons = limits_and_holders(held, number, places)
        ground = np.asarray(held_ground(held, places).any(axis=1))
        people = np.asarray(held_people(held, places)[:, held.rows.ask != number].any(axis=1))
        limited = too_many(terrain, places, held.rows)
        for day in set(places.day.tolist()):
            here = places.day == day
            codes = _codes_on(reasons, problem, day)
            assert ("held" in codes) == bool(ground[here].any())
            assert ("person" in codes) == bool(people[here].any())
            if (limited & ~ground & ~people & here).any():
                assert codes & {"limit", "rules"}
            whole = [r.facts.is_whole for r in reasons if r.code == "held" and _on(r, problem, day)]
            assert whole in ([], [bool(ground[here].all())])


def _codes_on(reasons: list[Reason], problem: Problem, day: int) -> set[str]:
    return {reason.code for reason in reasons if _on(reason, problem, day)}


def _on(reason: Reason, problem: Problem, day: int) -> bool:
    facts, name = reason.facts, problem.days[day].name
    days = [*facts.days, *(one.day for one in facts.hours)]
    days += [one for said in facts.rules for one in said.days]
    return any(one.weekday == problem.days[day].weekday or one.name == name for one in days)


def test_a_place_left_free_is_the_answer_and_said_with_its_place() -> None:
    """Of two free ones the one liked better; who holds the rest stands after it."""
    window = (Window(0, 1080, 1140),)
    asks = make_ask("a", possible=window), make_ask("b", possible=window, least_share=0.5)
    problem = make_problem(make_pitch(cuts=("halves",)), *asks)
    plan = (Placement("a", 0, "top-halves-0", 0, 1080, 1140),)
    (one,) = explain(survey(problem), plan, is_proved=False)
    free, held = one.reasons
    assert (free.code, free.facts.kind, free.is_proved) == ("open", "free", False)
    assert free.facts.spot == spot_of(problem, Placement("b", 0, "top-halves-1", 0, 1080, 1140))
    assert tell_reason(free) == (
        "Monday 18:00–19:00, top halves 2 is free for this ask in this plan; the search ended, or "
        "the plan was changed, before it was taken."
    )
    assert held.code == "held"
    assert one.changes == ()


def test_the_place_left_free_is_the_one_the_ask_likes_best() -> None:
    """Both evenings are free, and the second is preferred."""
    days = (Window(0, 1080, 1140), Window(1, 1080, 1140))
    ask = make_ask("a", possible=days, preferred=days[1:])
    problem = make_problem(make_pitch(), ask, days=make_days(2))
    assert told(problem, (), "a")[0].startswith("Tuesday 18:00–19:00, top whole 1 is free")
    again = replace(problem, asks=(replace(ask, preferred=days[:1]),))
    assert told(again, (), "a")[0].startswith("Monday 18:00–19:00, top whole 1 is free")


def test_ground_at_its_limit_is_not_called_free() -> None:
    """Nobody holds it, and its use is spent."""
    window = (Window(0, 1080, 1140),)
    asks = make_ask("a", possible=window), make_ask("b", possible=window)
    pitch = make_pitch(cuts=("halves",))
    problem = make_problem(pitch, *asks, loads=(LoadLimit("top", most_sessions=1),))
    plan = (Placement("a", 0, "top-halves-0", 0, 1080, 1140),)
    assert not any("is free" in text for text in told(problem, plan, "b"))
