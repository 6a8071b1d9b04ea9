"""Cost, compact evenings, the past, single evenings; and what is wrong with wants, told."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from clubplanner.sharing import (
    Ask,
    Day,
    Effort,
    LoadLimit,
    Outcome,
    Pair,
    PairKind,
    Placement,
    Price,
    Problem,
    Standing,
    Window,
    Wish,
    check,
    validate,
)
from clubplanner.sharing.checks.verifying import verify
from clubplanner.sharing.files.files import read_problem, write_value
from clubplanner.sharing.model.aim_book import level_names
from clubplanner.sharing.reasons.telling.telling import tell_reason
from clubplanner.sharing.solving.solve import solve
from tests.sharing.builders import (
    MONDAY,
    make_ask,
    make_days,
    make_openings,
    make_pitch,
    make_problem,
    strip_cells,
)

EFFORT = Effort(seconds=10)
HALVES = make_pitch(cuts=("halves",))
WEEK = tuple(Window(day, 1080, 1200) for day in range(7))


def share(problem: Problem) -> Outcome:
    """Solve a problem; what comes out is true and proved."""
    outcome = solve(problem, EFFORT)
    assert verify(problem, outcome) == ()
    return outcome


def codes(problem: Problem, *plan: Placement) -> set[str]:
    """Return the codes of what the checker finds in a plan."""
    return {fault.code for fault in check(problem, plan)}


def test_the_cheaper_ground_is_taken_when_nothing_else_is_lost() -> None:
    """Hire by the hour and by opening counts after all wishes, and the sum is told."""
    grounds = (*make_pitch("one", venue="park"), *make_pitch("two", venue="lane"))
    prices = (Price("park", None, 10, 0), Price("lane", None, 0, 25))
    one = make_problem(grounds, make_ask(), prices=prices)
    outcome = share(one)
    assert [place.ground for place in outcome.placements] == ["one-whole-0"]
    assert outcome.levels[-1].name == "keeping cost low"
    assert outcome.levels[-1].value == 10
    both = make_problem(grounds, make_ask("a"), make_ask("b"), prices=prices)
    assert share(both).levels[-1].value == 20
    wished = replace(one, asks=(make_ask(wishes=(Wish(1, venues=frozenset({"lane"})),)),))
    assert share(wished).levels[-1].value == 25


def test_floodlights_are_paid_once_for_a_pitch() -> None:
    """Two squads train side by side under the same floodlights rather than one after the other."""
    window = (Window(0, 1020, 1200),)
    lamps = Price("park", None, 600, for_floodlights=True)
    asks = (make_ask("a", possible=window), make_ask("b", possible=window))
    grounds = make_pitch(cuts=("halves",))
    outcome = share(make_problem(grounds, *asks, prices=(replace(lamps, venue=grounds[0].venue),)))
    assert len({place.start_min for place in outcome.placements}) == 1
    assert outcome.levels[-1].value == 10 * asks[0].minutes


def test_the_cheaper_hour_is_taken() -> None:
    """A price of its own from an hour on counts by the minute, rounded up once."""
    window = (Window(0, 1020, 1200),)
    early = Price("park", None, 100)
    late = Price("park", None, 40, day=0, from_min=1080, until_min=1200)
    ask = make_ask("a", possible=window, minutes=60)
    outcome = share(make_problem(make_pitch("one", venue="park"), ask, prices=(early, late)))
    assert all(place.start_min >= 1080 for place in outcome.placements)
    assert outcome.levels[-1].value == 40


def test_a_compact_evening_has_no_dead_hour() -> None:
    """Two sessions on one pitch follow each other when that is wanted."""
    window = (Window(0, 1020, 1320),)
    asks = (
        make_ask("a", possible=window, preferred=(Window(0, 1020, 1080),)),
        make_ask("b", possible=window),
    )
    problem = make_problem(make_pitch(), *asks, wants_compact=True)
    outcome = share(problem)
    assert outcome.levels[-1].value == 0
    assert [place.start_min for place in outcome.placements] == [1020, 1080]


def test_who_had_less_in_the_past_comes_first() -> None:
    """Two squads want the one good hour: it goes to the one that was served worse before."""
    asks = [
        make_ask(key, preferred=(Window(0, 1080, 1140),), possible=(Window(0, 1080, 1200),))
        for key in ("a", "b")
    ]
    for favoured in ("a", "b"):
        problem = make_problem(
            make_pitch(),
            *(replace(ask, past=-10 if ask.key == favoured else 10) for ask in asks),
        )
        plan = {place.ask: place.start_min for place in share(problem).placements}
        assert plan[favoured] == 1080


def test_one_evening_is_shared_out_like_a_season() -> None:
    """A plan of one date: words name the date, and a second session needs another day."""
    tonight = Day(0, "Thursday 10 September", 3, (MONDAY + timedelta(days=3),))
    busy = Standing("top", strip_cells("halves", 0), tonight.dates[0], 1080, 1200, "Hire")
    grounds = make_pitch(cuts=("halves", "thirds"))
    asks = (make_ask("a", least_share=0.5), make_ask("b", least_share=0.5, minutes=120))
    problem = Problem(
        grounds=grounds,
        days=(tonight,),
        openings=make_openings((tonight,), "park"),
        standing=(busy,),
        asks=asks,
        step_minutes=15,
    )
    outcome = share(problem)
    assert outcome.placed == 1
    (refusal,) = outcome.refusals
    assert "Thursday 10 September" in tell_reason(refusal.reasons[0])


CLUB = make_problem(
    HALVES,
    make_ask("a", latest_finish_min=1140, no_day_before=frozenset({2})),
    make_ask("b", sessions=2, rest_days=1, possible=WEEK[:3], no_day_after=frozenset({1})),
    days=make_days(3),
    loads=(LoadLimit("top", most_minutes=35),),
)


def test_the_checker_sees_each_of_these_rules_broken() -> None:
    """Late, too near, on an eve, on a morrow, worn: each is found by itself."""
    place = Placement("b", 0, "top-halves-0", 0, 1080, 1140)
    late = Placement("a", 0, "top-halves-1", 0, 1110, 1170)
    assert codes(CLUB, place) == set()
    assert codes(CLUB, late) == {"latest finish"}
    assert "day after" in codes(CLUB, replace(place, day=2))
    assert "day before" in codes(CLUB, replace(late, day=1))
    assert {"rest", "load"} <= codes(CLUB, place, replace(place, session=1, day=1))
    wider = replace(CLUB, loads=())
    assert codes(wider, place, replace(place, session=1, day=1)) == {"rest"}


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"loads": (LoadLimit("nowhere", 10),)}, "$.loads[0].pitch"),
        ({"pairs": (Pair(PairKind.KEEP_APART, "squad a", "nobody"),)}, "$.pairs[0].other"),
        ({"pairs": (Pair(PairKind.KEEP_APART, "squad a", "squad a"),)}, "$.pairs[0].other"),
        ({"prices": (Price("moon"),)}, "$.prices[0].venue"),
        ({"prices": (Price("park", "moon"),)}, "$.prices[0].pitch"),
        ({"prices": (Price("park", "top", 1, 1),)}, "$.prices[0].per_opening"),
        ({"prices": (Price("park"), Price("park"))}, "$.prices[1]"),
        ({"prices": (Price("park", "top", 1, ground="moon"),)}, "$.prices[0].ground"),
        ({"prices": (Price("park", None, 1, day=9),)}, "$.prices[0].day"),
        ({"prices": (Price("park", None, 1, from_min=1, until_min=9),)}, "$.prices[0].from_min"),
        (
            {
                "prices": (
                    Price("park", None, 1, day=0, from_min=9, until_min=20),
                    Price("park", None, 2, day=0, from_min=1, until_min=10),
                )
            },
            "$.prices[0]",
        ),
    ],
)
def test_wrong_wants_are_told_with_their_place(change: dict[str, object], words: str) -> None:
    """Each fault is found without places by `validate`, and with its place in a file."""
    problem = replace(CLUB, **change)  # type: ignore[arg-type]
    assert validate(problem)
    read, faults = read_problem(write_value(problem).encode())
    assert read is None
    assert words in [fault.where for fault in faults]


@pytest.mark.parametrize(
    ("ask", "words"),
    [
        (make_ask("a", wishes=(Wish(2, days=frozenset({9})),)), "wishes[0].days"),
        (make_ask("a", wishes=(Wish(2, venues=frozenset({"moon"})),)), "wishes[0].venues"),
        (make_ask("a", wishes=(Wish(2, grounds=frozenset({"moon"})),)), "wishes[0].grounds"),
        (make_ask("a", wishes=(Wish(4),)), "wishes[0].grade"),
        (make_ask("a", wishes=(Wish(1, windows=(Window(0, 9, 9),)),)), "windows[0].end_min"),
        (make_ask("a", rest_days=31), "rest_days"),
        (make_ask("a", most_in_a_row=0), "most_in_a_row"),
        (make_ask("a", most_in_a_row=7), "most_in_a_row"),
        (make_ask("a", earliest_start_min=-1), "earliest_start_min"),
        (make_ask("a", past=101), "past"),
        (make_ask("a", no_day_after=frozenset({7})), "no_day_after[0]"),
    ],
)
def test_wrong_asks_are_told_with_their_place(ask: Ask, words: str) -> None:
    """The same for what an ask says."""
    problem = make_problem(HALVES, ask)
    assert validate(problem)
    read, faults = read_problem(write_value(problem).encode())
    assert read is None
    assert any(fault.where.endswith(words) for fault in faults)


def test_a_problem_with_every_want_goes_to_a_file_and_back() -> None:
    """Nothing is lost on the way."""
    ask = make_ask(
        "b",
        wishes=(Wish(3, WEEK[:1], frozenset({0}), frozenset({"park"}), frozenset()),),
        past=-7,
        no_day_before=frozenset({5, 6}),
        earliest_start_min=990,
        most_in_a_row=3,
    )
    problem = replace(
        CLUB,
        asks=(CLUB.asks[0], ask),
        pairs=(Pair(PairKind.SAME_EVENING, "squad a", "squad b", 1),),
        prices=(
            Price("park", None, 100, 7),
            Price("park", "top", 120),
            Price("park", "top", 90, day=0, from_min=1020, until_min=1080),
            Price("park", "top", 9, day=0, from_min=0, until_min=9, for_floodlights=True),
        ),
        wants_compact=True,
    )
    assert validate(problem) == ()
    assert read_problem(write_value(problem).encode()) == (problem, ())


def test_a_false_claim_on_any_aim_is_found() -> None:
    """Each level's value, its place in the order, and being there at all are checked."""
    grounds = (*make_pitch("one", venue="park"), *make_pitch("two", venue="lane"))
    problem = make_problem(
        grounds,
        make_ask("a"),
        make_ask("b"),
        make_ask("c"),
        pairs=(Pair(PairKind.ONE_AFTER_OTHER, "squad a", "squad b", 3),),
        prices=(Price("park", None, 10, 3), Price("lane", None, 20, 1)),
        wants_compact=True,
    )
    outcome = share(problem)
    assert [level.name for level in outcome.levels] == list(level_names(problem))
    for number, level in enumerate(outcome.levels):
        levels = list(outcome.levels)
        levels[number] = replace(level, value=level.value + 1, bound=level.bound + 1)
        false = replace(outcome, levels=tuple(levels))
        assert "value" in {fault.code for fault in verify(problem, false)}, level.name
    swapped = replace(outcome, levels=(outcome.levels[1], outcome.levels[0], *outcome.levels[2:]))
    assert "aims" in {fault.code for fault in verify(problem, swapped)}
    short = replace(outcome, levels=outcome.levels[:-1])
    assert "kind" in {fault.code for fault in verify(problem, short)}
