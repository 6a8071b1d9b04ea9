"""What the check adds up in few steps is what the plain way gives: by the minute, by every rule."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from clubplanner.sharing import Day, LoadLimit, Placement, Price, Problem, Window, check
from clubplanner.sharing.checks.places_alone import PlacesAlone
from clubplanner.sharing.checks.serving import BestAlone
from clubplanner.sharing.checks.worth_late import cost
from clubplanner.sharing.example.example import example
from clubplanner.sharing.example.example_wants import with_wants
from tests.sharing.builders import MONDAY, make_ask, make_days, make_pitch, make_problem

if TYPE_CHECKING:
    from clubplanner.sharing import Ask, Ground

GROUNDS = (
    *make_pitch("top", cuts=("whole", "thirds")),
    *make_pitch("back", cuts=("halves",)),
    *make_pitch("far", venue="quay"),
    *(replace(one, share=None, share_of_pitch=0.37) for one in make_pitch("odd", venue="quay")),
)
MINUTES = st.integers(1000, 1300)


@st.composite
def prices(draw: st.DrawFn) -> Price:
    """Draw a price of a venue, a pitch or a ground, on a day or all, for a window or always."""
    ground = draw(st.sampled_from(GROUNDS))
    pitch = draw(st.sampled_from((None, ground.pitch)))
    day = draw(st.sampled_from((None, 0, 1)))
    first = draw(MINUTES)
    window = (first, first + draw(st.integers(1, 120))) if day is not None else (None, None)
    return Price(
        venue=ground.venue,
        pitch=pitch,
        per_hour=draw(st.integers(0, 5000)),
        per_opening=0 if pitch else draw(st.sampled_from((0, 700))),
        ground=draw(st.sampled_from((None, ground.key))) if pitch else None,
        day=day,
        from_min=draw(st.sampled_from((None, window[0]))) and window[0],
        until_min=window[1],
        for_floodlights=draw(st.booleans()),
    )


def cost_by_the_minute(problem: Problem, plan: list[Placement]) -> int:
    """Add up hire minute by minute, openings once a day, and floodlights that burn."""
    grounds = {ground.key: ground for ground in problem.grounds}
    total = 0
    lit: dict[tuple[str, int, int], int] = {}
    for item in plan:
        ground = grounds[item.ground]
        hire = Fraction(0)
        for minute in range(item.start_min, item.end_min):
            price = _price_at(problem, ground, item.day, minute, for_floodlights=False)
            if price is not None:
                share = Fraction(1 if price.ground else ground.share_of_pitch)
                if ground.share is not None and not price.ground:
                    share = Fraction(ground.share, 12)
                hire += price.per_hour * share / 60
            lamps = _price_at(problem, ground, item.day, minute, for_floodlights=True)
            if lamps is not None:
                lit[ground.pitch, item.day, minute] = math.ceil(lamps.per_hour / 60)
        total += math.ceil(hire if ground.share is not None else float(hire) - 1e-6)
    for venue, day in {(grounds[item.ground].venue, item.day) for item in plan}:
        here = [one for one in problem.prices if one.venue == venue and one.pitch is None]
        own = sum(one.per_opening for one in here if one.day == day)
        total += own or sum(one.per_opening for one in here if one.day is None)
    return total + sum(lit.values())


def _price_at(
    problem: Problem, ground: Ground, day: int, minute: int, *, for_floodlights: bool
) -> Price | None:
    found = [
        one
        for one in problem.prices
        if one.venue == ground.venue
        and one.for_floodlights is for_floodlights
        and one.pitch in (None, ground.pitch)
        and one.ground in (None, ground.key)
        and one.day in (None, day)
        and not (one.per_opening and not one.per_hour)
        and (
            one.from_min is None
            or one.until_min is None
            or minute in range(one.from_min, one.until_min)
        )
    ]
    return max(
        found,
        key=lambda one: (one.ground is not None, one.pitch is not None, one.day is not None),
        default=None,
    )


@given(st.data())
@settings(max_examples=150, deadline=None)
def test_cost_by_pieces_is_cost_by_the_minute(data: st.DataObject) -> None:
    """Whatever prices there are, and wherever they begin and end within sessions."""
    drawn = tuple(data.draw(st.lists(prices(), max_size=8)))
    plan = []
    for n in range(data.draw(st.integers(1, 6))):
        start = data.draw(MINUTES)
        ground = data.draw(st.sampled_from(GROUNDS)).key
        end = start + data.draw(st.integers(1, 150))
        plan.append(Placement(f"a{n}", 0, ground, data.draw(st.integers(0, 1)), start, end))
    problem = make_problem(GROUNDS, days=make_days(2), prices=drawn)
    assert cost(problem, plan) == cost_by_the_minute(problem, plan)


class _ByEveryRule(BestAlone):
    """Asks every rule of the checker about each place, as a plan of that session alone."""

    def _stands_alone(self, ask: Ask, ground: Ground, place: Placement) -> bool:
        alone = replace(self.places.by_place.on(ground.pitch), asks=(replace(ask, pinned=()),))
        return not check(alone, [place])


def in_a_row() -> Problem:
    """Return a problem with a limit on use, days of several dates in a row, and rows limited."""
    dates = tuple(MONDAY.replace(day=MONDAY.day + n) for n in range(4))
    days = (Day(0, "Monday", 0, dates[:1]), Day(1, "Tuesday", 1, dates[1:]))
    both = (Window(0, 1080, 1200), Window(1, 1080, 1200))
    asks = [
        make_ask("a", possible=both, sessions=2, most_in_a_row=2),
        make_ask("b", possible=both, preferred=both[1:], most_in_a_row=1, wear_percent=50),
        make_ask("c", possible=both, sessions=2, preferred=both[1:]),
    ]
    loads = (LoadLimit("top", most_minutes=90),)
    return make_problem(make_pitch(), *asks, days=days, loads=loads)


PROBLEMS = [
    in_a_row(),
    *(with_wants(example(12, 2, seed, 1.3), seed) for seed in range(6)),
]


@pytest.mark.parametrize("number", range(len(PROBLEMS)))
def test_best_alone_is_that_by_every_rule(number: int) -> None:
    """Limits on use and rows of dates are all that can still bar a place of an ask alone."""
    problem = PROBLEMS[number]
    found, plain = BestAlone(problem), _ByEveryRule(problem)
    assert [found.of(ask) for ask in problem.asks] == [plain.of(ask) for ask in problem.asks]


def test_rows_and_limits_bar_places_alone() -> None:
    """Three dates in a row are too many for two asks, three hours a week for the pitch."""
    problem = in_a_row()
    best = BestAlone(problem)
    places = PlacesAlone(problem)
    assert all(places.fit(ask) for ask in problem.asks)
    unlimited = replace(
        problem,
        loads=(),
        asks=tuple(replace(ask, most_in_a_row=None) for ask in problem.asks),
    )
    free = BestAlone(unlimited)
    pairs = [
        (best.of(ask), free.of(other))
        for ask, other in zip(problem.asks, unlimited.asks, strict=True)
    ]
    assert all(own < other for own, other in pairs)
