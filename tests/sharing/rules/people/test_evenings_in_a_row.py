"""Evenings in a row, wherever the share-out keeps them."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from clubplanner.language import speaking
from clubplanner.sharing import Ask, Day, Effort, Placement, Problem, Window, check
from clubplanner.sharing.again.alteration import Alteration
from clubplanner.sharing.again.reshare import reshare
from clubplanner.sharing.checks.verifying import verify
from clubplanner.sharing.example.example import example
from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.places.first_plan import fill_plan
from clubplanner.sharing.places.listing import list_candidates
from clubplanner.sharing.places.placements import placement_of
from clubplanner.sharing.reasons.by_hand import what_else
from clubplanner.sharing.reasons.reasons import explain
from clubplanner.sharing.reasons.telling.telling import tell_reason
from clubplanner.sharing.reasons.unmet import unmet_wishes
from clubplanner.sharing.rules.people.evenings_in_a_row import too_long_rows
from clubplanner.sharing.solving.solve import solve
from tests.sharing.builders import MONDAY, make_ask, make_days, make_pitch, make_problem
from tests.sharing.rules.oracle import plans_of_model, sound_plans

HOURS = tuple(Window(day, 1080, 1140) for day in range(7))
EFFORT = Effort(10)


def at(day: int, session: int = 0, ask: str = "a", ground: str = "top-whole-0") -> Placement:
    """Return a session at six on a day."""
    return Placement(ask, session, ground, day, 1080, 1140)


def make_week(*asks: Ask, count: int = 7, weeks: int = 1) -> Problem:
    """Return a problem of one pitch and so many days from Monday on."""
    return make_problem(make_pitch(), *asks, days=make_days(count, weeks=weeks))


def days_of(problem: Problem) -> list[int]:
    """Solve a problem, find the outcome true, and return the days on which there is somebody."""
    outcome = solve(problem, EFFORT)
    assert verify(problem, outcome) == ()
    return sorted(place.day for place in outcome.placements)


@given(
    dates=st.lists(st.integers(0, 20), min_size=1, max_size=12, unique=True),
    most=st.integers(1, 4),
    cuts=st.lists(st.integers(0, 3), min_size=12, max_size=12),
)
@settings(max_examples=50)
def test_rows_are_the_least_sets_of_days_with_a_date_too_many(
    dates: list[int], most: int, cuts: list[int]
) -> None:
    """Any days hold too long a row of dates exactly when they hold one of the sets wholly."""
    groups: dict[int, list[int]] = {}
    for n, when in enumerate(sorted(dates)):
        groups.setdefault(cuts[n], []).append(when)
    days = tuple(
        Day(n, f"day {n}", 0, tuple(MONDAY + timedelta(days=d) for d in own))
        for n, own in enumerate(groups.values())
    )
    rows = too_long_rows(days, most)
    for count in range(len(days) + 1):
        for chosen in combinations(range(len(days)), count):
            held = {when for n in chosen for when in days[n].dates}
            is_long = any(
                all(first + timedelta(days=n) in held for n in range(most + 1)) for first in held
            )
            assert any(row <= set(chosen) for row in rows) is is_long
    assert not any(a < b for a in rows for b in rows)


@pytest.mark.parametrize(("most", "days"), [(None, 5), (1, 3), (2, 4), (3, 4), (4, 4), (5, 5)])
def test_a_squad_has_evenings_off(most: int | None, days: int) -> None:
    """Five evenings are asked for out of five; with a limit some are left free."""
    ask = make_ask(sessions=5, possible=HOURS[:5], most_in_a_row=most)
    found = days_of(make_week(ask, count=5))
    assert len(found) == days


def test_sunday_and_monday_follow_each_other_where_the_dates_do() -> None:
    """In one week the ends lie apart; in a weekly pattern they meet."""
    ask = make_ask(sessions=2, possible=(HOURS[0], HOURS[6]), most_in_a_row=1)
    assert days_of(make_week(ask)) == [0, 6]
    assert len(days_of(make_week(ask, weeks=2))) == 1


def test_a_break_between_two_dates_ends_the_row() -> None:
    """Monday's only date lies weeks after Sunday's: nothing follows anything."""
    days = (
        Day(0, "Monday", 0, (MONDAY + timedelta(weeks=4),)),
        Day(1, "Sunday", 6, (MONDAY + timedelta(days=6),)),
    )
    ask = make_ask(sessions=2, possible=HOURS[:2], most_in_a_row=1)
    problem = make_problem(make_pitch(), ask, days=days)
    assert days_of(problem) == [0, 1]


def test_all_asks_of_a_squad_count_and_the_smallest_number() -> None:
    """One ask says two in a row, the other nothing: together they keep to two."""
    asks = (
        make_ask("a", squad="s", sessions=2, possible=HOURS[:2], most_in_a_row=2),
        make_ask("b", squad="s", sessions=2, possible=HOURS[2:4]),
    )
    assert days_of(make_week(*asks)) == [0, 1, 3]
    assert days_of(make_week(*asks[1:], replace(asks[0], most_in_a_row=4))) == [0, 1, 2, 3]
    stricter = (asks[0], replace(asks[1], most_in_a_row=1))
    assert len(days_of(make_week(*stricter))) == 2
    other = replace(asks[1], squad="another")
    assert days_of(make_week(asks[0], other)) == [0, 1, 2, 3]


def test_two_sessions_on_one_evening_are_one_evening() -> None:
    """A squad with two asks on one day has not trained on two."""
    evening = (Window(0, 1080, 1200), Window(1, 1080, 1140))
    asks = [make_ask(key, squad="s", possible=evening[:1], most_in_a_row=2) for key in "ab"]
    third = make_ask("c", squad="s", possible=evening[1:])
    problem = make_problem(make_pitch(), *asks, third, days=make_days(2), step_minutes=60)
    assert len(solve(problem, EFFORT).placements) == 3
    assert plans_of_model(problem) == sound_plans(problem)


@pytest.mark.parametrize("most", [1, 2, 3])
@pytest.mark.parametrize("weeks", [1, 2])
@pytest.mark.parametrize("pinned", [(), (0, 1), (0, 1, 2), (6, 1)])
def test_the_model_lets_pass_exactly_the_sound_plans(
    most: int, weeks: int, pinned: tuple[int, ...]
) -> None:
    """Of all plans of a squad's two asks; pins may make too long a row, nothing is added to it."""
    pins = tuple(at(day, n) for n, day in enumerate(pinned))
    asks = (
        make_ask("a", squad="s", sessions=4, possible=HOURS, most_in_a_row=most, pinned=pins),
        make_ask("b", squad="s", possible=(Window(1, 1140, 1200), HOURS[3])),
    )
    problem = make_week(*asks, weeks=weeks)
    assert plans_of_model(problem) == sound_plans(problem)


@given(
    most=st.integers(1, 3),
    sessions=st.lists(st.integers(1, 4), min_size=1, max_size=3),
    squads=st.lists(st.sampled_from("st"), min_size=3, max_size=3),
    weeks=st.integers(1, 2),
)
@settings(max_examples=40, deadline=None)
def test_the_first_plan_is_sound(
    most: int, sessions: list[int], squads: list[str], weeks: int
) -> None:
    """The plan made one session at a time keeps to it as well."""
    evening = tuple(Window(day, 1080, 1260) for day in range(7))
    asks = [
        make_ask(f"a{n}", squad=squads[n], sessions=count, possible=evening, most_in_a_row=most)
        for n, count in enumerate(sessions)
    ]
    problem = make_week(*asks, weeks=weeks)
    terrain = survey(problem)
    rows = list_candidates(terrain)
    counts = dict.fromkeys(range(len(asks)), 0)
    plan = []
    for row in fill_plan(terrain, rows).tolist():
        ask = int(rows.ask[row])
        plan.append(placement_of(terrain, rows, row, counts[ask]))
        counts[ask] += 1
    assert check(problem, plan) == ()
    assert plan


def test_the_checker_tells_each_row_once_and_lets_pins_be() -> None:
    """Four evenings with two allowed: two rows of three; in three weeks still those two."""
    for weeks in (1, 3):
        ask = make_ask(sessions=4, possible=HOURS[:4], most_in_a_row=2)
        problem = make_week(ask, count=4, weeks=weeks)
        plan = tuple(at(day, day) for day in range(4))
        faults = check(problem, plan)
        assert [fault.code for fault in faults] == ["evenings in a row"] * 2
        assert [[p.day for p in fault.placements] for fault in faults] == [[0, 1, 2], [1, 2, 3]]
        pinned = replace(problem, asks=(replace(ask, pinned=plan),))
        assert check(pinned, plan) == ()
        some = replace(problem, asks=(replace(ask, pinned=plan[:3]),))
        assert [[p.day for p in f.placements] for f in check(some, plan)] == [[1, 2, 3]]


def test_best_alone_keeps_to_it() -> None:
    """A squad that could have two evenings at most is fully served with two."""
    ask = make_ask(sessions=3, possible=HOURS[:3], most_in_a_row=2)
    outcome = solve(make_week(ask, count=3), EFFORT)
    assert outcome.placed == 2
    assert [served.percent for served in outcome.satisfactions] == [100]


def test_a_reshare_keeps_to_it() -> None:
    """What stands too long a row is cut; a new ask is placed where there is none."""
    ask = make_ask(sessions=3, possible=HOURS[:5])
    problem = make_week(ask, count=5)
    standing = tuple(at(day, day) for day in range(3))
    stricter = replace(ask, most_in_a_row=2)
    result = reshare(problem, standing, Alteration(asks_changed=(stricter,)), EFFORT)
    assert check(result.problem, result.outcome.placements) == ()
    assert result.outcome.placed == 3
    assert len({(p.day, p.ground) for p in standing} - {
        (p.day, p.ground) for p in result.outcome.placements
    }) == 1  # fmt: skip


def test_a_plan_bettered_piece_by_piece_keeps_to_it(monkeypatch: pytest.MonkeyPatch) -> None:
    """A club too large for one model is placed a few squads at a time, by the same rows."""
    monkeypatch.setattr("clubplanner.sharing.search.search.MOST_SLOTS", 0)
    club = example(10, 2, 2, 1.3)
    asks = (replace(ask, sessions=3, most_in_a_row=1 + n % 2) for n, ask in enumerate(club.asks))
    problem = replace(club, asks=tuple(asks))
    outcome = solve(problem, Effort(3))
    assert verify(problem, outcome) == ()
    assert outcome.placed


def test_by_hand_nothing_is_offered_that_makes_too_long_a_row() -> None:
    """The third evening may go anywhere but between or beside the other two."""
    problem = make_week(make_ask(sessions=3, possible=HOURS[:6], most_in_a_row=2), count=6)
    plan = (at(1, 0), at(2, 1), at(5, 2))
    offered = {option.placement.day for option in what_else(problem, plan, "a", 2)}
    assert offered == {4}


def test_nobody_moves_out_of_the_way_into_too_long_a_row() -> None:
    """The only other evening of who would have to move is an evening too many for them."""
    mover = make_ask("a", sessions=3, possible=HOURS[:4], most_in_a_row=2)
    comer = make_ask("b", possible=HOURS[3:4])
    plan = (at(0, 0), at(1, 1), at(3, 2))
    for most, moves in ((2, 0), (3, 1)):
        problem = make_week(replace(mover, most_in_a_row=most), comer, count=4)
        (refusal,) = explain(survey(problem), plan, is_proved=False)
        found = [change for change in refusal.changes if change.code == "others move"]
        assert len(found) == moves


def test_a_refused_session_is_told_which_evening_it_would_be() -> None:
    """With no day left, with another day whose ground is held, and in German."""
    ask = make_ask(sessions=4, possible=HOURS[:4], most_in_a_row=3)
    plan = tuple(at(day, day) for day in range(3))
    (refusal,) = explain(survey(make_week(ask, count=4)), plan, is_proved=True)
    assert tell_reason(refusal.reasons[0]) == (
        "No possible day is left beside Monday, Tuesday and Wednesday. "
        "On Thursday it would be the fourth evening in a row."
    )
    assert not refusal.reasons[0].is_proved, "another of its own evenings could go"
    wider = make_week(replace(ask, possible=(*HOURS[:4], HOURS[5])), make_ask("b"), count=6)
    (refusal,) = [r for r in explain(survey(wider), (*plan, at(5, ask="b")), is_proved=True)
                  if r.ask == "a"]  # fmt: skip
    texts = [tell_reason(reason) for reason in refusal.reasons]
    assert "On Thursday it would be the fourth evening in a row." in texts
    (refusal,) = explain(survey(make_week(ask, count=4)), plan, is_proved=True)
    with speaking("de"):
        assert "wäre es der vierte Abend in Folge" in tell_reason(refusal.reasons[0])


def test_the_evenings_of_another_ask_are_told() -> None:
    """An ask without any session hears that its squad's other evenings leave it none."""
    asks = (
        make_ask("a", squad="s", sessions=2, possible=HOURS[:2], most_in_a_row=2),
        make_ask("b", squad="s", possible=HOURS[2:3]),
    )
    (refusal,) = explain(survey(make_week(*asks, count=3)), (at(0), at(1, 1)), is_proved=True)
    assert tell_reason(refusal.reasons[0]) == "On Wednesday it would be the third evening in a row."


def test_a_wish_for_an_evening_too_many_is_told() -> None:
    """A place liked better that is free but would be the third evening."""
    ask = make_ask(
        sessions=3, possible=HOURS[:5], preferred=(HOURS[0], HOURS[1], HOURS[2]), most_in_a_row=2
    )
    plan = (at(0, 0), at(1, 1), at(4, 2))
    problem = make_week(ask, count=5)
    assert check(problem, plan) == ()
    (reason,) = unmet_wishes(problem, plan, "a")
    assert tell_reason(reason).endswith("; it would be the third evening in a row.")
