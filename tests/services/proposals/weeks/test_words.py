"""What is told of a plan's week: how far apart, why not, how even, and what it cost."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from clubplanner.domain.club.spread import Evenings
from clubplanner.language import speaking
from clubplanner.services.proposals.weeks.facts import week_as_json
from clubplanner.services.proposals.weeks.words import WayShown, week_shown
from clubplanner.sharing import Effort, Placement, Price, Window
from clubplanner.sharing.solving.solve import solve
from clubplanner.sharing.values.problem import plain
from tests.sharing.builders import make_ask, make_days, make_pitch, make_problem

if TYPE_CHECKING:
    from clubplanner.services.proposals.weeks.words import WeekShown
    from clubplanner.sharing import Problem
    from clubplanner.store.engine import Store

EVERY_DAY = tuple(Window(day, 1080, 1200) for day in range(5))
PITCH = make_pitch(cuts=("whole", "halves"))


def place(ask: str, session: int, day: int) -> Placement:
    """Put a session of an ask somewhere on a day."""
    return Placement(ask, session, "top-halves-0", day, 1080, 1140)


def club(**changes: object) -> Problem:
    """Return three squads that ask for two sessions each, one on Monday and Tuesday only."""
    asks = (
        make_ask("free", sessions=2, possible=EVERY_DAY),
        make_ask("tied", sessions=2, possible=EVERY_DAY[:2]),
        make_ask("once", possible=EVERY_DAY),
    )
    days = make_days(5, 4)
    return make_problem(
        PITCH, *asks, days=days, wants_apart=True, evenings=Evenings.EVEN, **changes
    )


def shown(store: Store, problem: Problem, *plan: Placement) -> WeekShown:
    """Put a plan by hand in words."""
    with store.read() as session:
        week = week_shown(session, {"week": week_as_json(problem, plan)})
    assert week is not None
    return week


def test_who_has_neighbouring_days_and_why(club_store: Store) -> None:
    """Own days, a person's hand, and what nobody knows are told apart; a wrapped week counts."""
    problem = club()
    own = shown(club_store, problem, place("tied", 0, 0), place("tied", 1, 1))
    assert own.apart.startswith("1 of 1 squads")
    assert own.near[0].squads == ("Squad tied (Monday and Tuesday)",)
    assert own.near[0].why == "The days on which they can train leave nothing better."
    plan = (place("free", 0, 2), place("free", 1, 3))
    open_ = shown(club_store, problem, *plan)
    assert "is not known" in open_.near[0].why
    asks = (replace(problem.asks[0], pinned=plan), *problem.asks[1:])
    pinned = shown(club_store, replace(problem, asks=asks), *plan)
    assert pinned.near[0].why == "They were put there by hand."
    apart = shown(club_store, problem, place("free", 0, 0), place("free", 1, 3))
    assert apart.near == ()
    assert apart.apart.startswith("The one squad")


def test_days_that_a_squad_would_like_are_no_fault(club_store: Store) -> None:
    """Who typed Monday and Tuesday has what was asked for, and no change is offered."""
    wished = make_ask("free", sessions=2, possible=EVERY_DAY, preferred=EVERY_DAY[:2])
    problem = club()
    problem = replace(problem, asks=(wished, *problem.asks[1:]))
    week = shown(club_store, problem, place("free", 0, 0), place("free", 1, 1))
    assert week.near[0].why == "They are the days that they would like."
    assert (week.ways, week.ways_note) == ((), "")
    more = replace(wished, preferred=(*EVERY_DAY[:2], EVERY_DAY[3]))
    problem = replace(problem, asks=(more, *problem.asks[1:]))
    week = shown(club_store, problem, place("free", 0, 0), place("free", 1, 1))
    assert "is not known" in week.near[0].why
    assert len(week.ways) == 1


def test_what_would_set_sessions_apart_is_told_with_its_price(club_store: Store) -> None:
    """A free place, and one that a squad would leave, each with the points of all concerned."""
    asks = (
        make_ask("free", sessions=2, possible=EVERY_DAY[:3]),
        make_ask("other", possible=EVERY_DAY[1:3], preferred=EVERY_DAY[2:3]),
    )
    problem = make_problem(make_pitch(), *asks, days=make_days(5, 4), wants_apart=True)
    plan = [Placement("free", n, "top-whole-0", n, 1080, 1140) for n in range(2)]
    week = shown(club_store, problem, *plan)
    told = "Squad free: Wednesday 18:00–19:00, %(where)s in place of Tuesday 18:00–19:00, %(where)s"
    where = {"where": "top whole 1"}
    assert week.ways == (WayShown(f"{told % where} (as good as now).", None),)
    assert week.ways_note.endswith("Squads looked at: 1; with such a change: 1.")
    saved = {"week": week_as_json(problem, plan), "placements": [plain(item) for item in plan]}
    with club_store.read() as session:
        kept = week_shown(session, saved)
    assert kept is not None
    assert kept.ways[0].place == 1
    narrow = tuple(replace(window, end_min=1140) for window in EVERY_DAY)
    asks = (
        make_ask("free", sessions=2, possible=narrow[:3]),
        make_ask("other", possible=narrow[1:3], preferred=narrow[2:3]),
    )
    held = Placement("other", 0, "top-whole-0", 2, 1080, 1140)
    week = shown(club_store, replace(problem, asks=asks), *plan, held)
    assert week.ways[0].words.endswith(
        "if Squad other moves to Tuesday 18:00–19:00, top whole 1 (40 wish points less)."
    )
    asks = (asks[0], replace(asks[1], pinned=(held,)))
    week = shown(club_store, replace(problem, asks=asks), *plan, held)
    assert week.ways == ()
    assert week.ways_note.startswith("No change of one session")


def test_evenings_are_counted_on_the_days_that_are_open(club_store: Store) -> None:
    """An open evening with nobody counts 0, a closed one nothing, venues without sessions fall."""
    problem = club()
    problem = replace(
        problem, openings=tuple(one for one in problem.openings if one.day not in (1, 4))
    )
    week = shown(club_store, problem, place("free", 0, 0), place("once", 0, 0), place("free", 1, 3))
    assert week.days == ("Mon", "Wed", "Thu")
    assert [one.counts for one in week.evenings] == [(2, 0, 1)]
    assert week.evenings[0].words == "park: Monday 2, Wednesday 0, Thursday 1"
    assert week.cost == ()


@pytest.mark.parametrize(
    ("language", "words"),
    [("en", "before, %s now. The plan before"), ("de", "vorher, %s jetzt. Der Plan vorher")],
)
def test_what_it_cost_is_what_was_measured(club_store: Store, language: str, words: str) -> None:
    """Wishes and money are those of the plan before the week was worked on, and of this one."""
    problem = club(prices=(Price("park", None, 0, 500),))
    outcome = solve(problem, Effort(seconds=5))
    with speaking(language), club_store.read() as session:
        saved = week_as_json(problem, outcome.placements, outcome.levels, outcome.traded)
        week = week_shown(session, {"week": saved})
    assert week is not None
    now = outcome.traded[-1].now
    assert now == 500 * sum(count > 0 for count in week.evenings[0].counts if count is not None)
    told = words.split("%s")
    assert told[0] in week.cost[-1]
    assert told[1] in week.cost[-1]
    assert len(week.cost) == len(outcome.traded)


def test_a_proved_week_says_so(club_store: Store) -> None:
    """Squads that cannot be apart because of others are told with the proof."""
    whole = make_pitch()
    asks = tuple(
        make_ask(f"a{n}", sessions=2, possible=tuple(Window(d, 1080, 1140) for d in range(4)))
        for n in range(2)
    )
    pinned = (Placement("a1", 0, "top-whole-0", 0, 1080, 1140),)
    asks = (asks[0], replace(asks[1], pinned=pinned, possible=EVERY_DAY[1:3]))
    problem = make_problem(
        whole, *asks, days=make_days(4, 4), wants_apart=True, evenings=Evenings.EVEN
    )
    outcome = solve(problem, Effort(seconds=5))
    assert all(level.is_proved for level in outcome.levels)
    saved = week_as_json(problem, outcome.placements, outcome.levels)
    assert saved is not None
    causes = {near["squad"]: near["cause"] for near in saved["near"]}
    assert set(causes.values()) <= {"others", "own days"}


def test_a_single_evening_has_no_week(club_store: Store) -> None:
    """Nothing is kept of one evening, and nothing told of proposals of earlier releases."""
    problem = make_problem(PITCH, make_ask("a"))
    assert week_as_json(problem, [place("a", 0, 0)]) is None
    with club_store.read() as session:
        assert week_shown(session, {}) is None


def test_a_week_kept_by_an_earlier_release_is_told_as_then(club_store: Store) -> None:
    """Where nothing was kept of changes, nothing is said of them."""
    saved = week_as_json(club(), [place("free", 0, 2), place("free", 1, 3)])
    assert saved is not None
    del saved["ways"], saved["looked_at"]
    with club_store.read() as session:
        week = week_shown(session, {"week": saved})
    assert week is not None
    assert len(week.near) == 1
    assert (week.ways, week.ways_note) == ((), "")
