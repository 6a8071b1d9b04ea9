"""Held ground: standing bookings, changeover, lost dates, and two sessions on the same cells."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from fractions import Fraction

import pytest

from clubplanner.sharing import Effort, Placement, Standing, Window
from clubplanner.sharing.checks.places_alone import lost_dates
from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.places.listing import list_candidates
from clubplanner.sharing.places.placements import placement_of
from clubplanner.sharing.reasons.telling.telling import tell_reason
from clubplanner.sharing.rules.ground.held_ground import RULE
from clubplanner.sharing.solving.solve import solve
from tests.sharing.builders import (
    MONDAY,
    make_ask,
    make_days,
    make_pitch,
    make_problem,
    strip_cells,
)
from tests.sharing.rules.oracle import broken_places, faulty_places, plans_of_model, sound_plans

CUTS = make_pitch(cuts=("whole", "halves", "thirds"))


def matches(*weeks: int, part: int = 0, start: int = 1080) -> tuple[Standing, ...]:
    """Return a match on a third of the pitch on the Mondays of some weeks."""
    return tuple(
        Standing("top", strip_cells("thirds", part), monday, start, start + 60, "Cup")
        for monday in (MONDAY + timedelta(weeks=n) for n in weeks)
    )


@pytest.mark.parametrize("changeover", [0, 15, 30])
@pytest.mark.parametrize("most", [Fraction(0), Fraction(1, 4), Fraction(1)])
def test_a_place_loses_no_more_dates_than_it_may(changeover: int, most: Fraction) -> None:
    """Two of eight dates are a quarter; all of them are never allowed."""
    problem = make_problem(
        CUTS,
        make_ask(possible=(Window(0, 960, 1260),)),
        days=make_days(1, weeks=8),
        standing=(*matches(0, 1), *matches(1, 2, 3, part=2), *matches(*range(8), start=1200)),
        changeover_minutes=changeover,
        most_dates_lost=most,
    )
    assert broken_places(problem, RULE) == faulty_places(problem, "standing booking")


def test_the_dates_lost_are_those_of_the_plain_rule() -> None:
    """Every candidate carries them, counted with the changeover."""
    problem = make_problem(
        CUTS,
        make_ask(possible=(Window(0, 960, 1260),)),
        days=make_days(1, weeks=8),
        standing=(*matches(0, 5), *matches(5, 6, part=2)),
        changeover_minutes=15,
        most_dates_lost=Fraction(1, 2),
    )
    terrain = survey(problem)
    rows = list_candidates(terrain, keep_all=True)
    assert len(rows)
    grounds = {ground.key: ground for ground in problem.grounds}
    for row in range(len(rows)):
        place = placement_of(terrain, rows, row, 0)
        ground = grounds[place.ground]
        plain = lost_dates(problem, ground, problem.days[0], place.start_min, place.end_min)
        assert place.lost_dates == plain


@pytest.mark.parametrize("changeover", [0, 30])
def test_the_model_lets_pass_what_shares_no_cell(changeover: int) -> None:
    """Of all plans of two sessions on crossing parts of a pitch, exactly the sound ones."""
    crossing = tuple(g for g in CUTS if g.key in ("top-halves-0", "top-thirds-1", "top-whole-0"))
    problem = make_problem(
        crossing,
        make_ask("a", possible=(Window(0, 1080, 1170),)),
        make_ask("b", possible=(Window(0, 1110, 1230),)),
        changeover_minutes=changeover,
    )
    assert plans_of_model(problem) == sound_plans(problem)


def test_changeover_keeps_ground_free_between_bookings() -> None:
    """With changeover two hours do not hold two sessions of an hour on the same ground."""
    asks = (make_ask("a", least_share=1.0), make_ask("b", least_share=1.0))
    for changeover, placed in ((0, 2), (15, 1)):
        problem = make_problem(make_pitch(), *asks, changeover_minutes=changeover)
        assert solve(problem, Effort(10)).placed == placed


def test_crossing_cuts_never_overlap() -> None:
    """Two hours hold three thirds twice, or a half and a third each hour."""
    asks = [make_ask(f"a{n}", least_share=1 / 3) for n in range(5)]
    problem = make_problem(
        make_pitch(cuts=("halves", "thirds")), *asks, make_ask("h", least_share=0.5)
    )
    assert solve(problem, Effort(10)).placed == 5


def test_a_place_may_lose_a_quarter_of_its_dates_and_no_more() -> None:
    """Beyond a quarter the place is not offered; what is lost is told with the place."""
    for count, lost in ((2, [2]), (3, [])):
        problem = make_problem(
            make_pitch(),
            make_ask("a"),
            days=make_days(1, weeks=8),
            standing=tuple(
                Standing("top", strip_cells("whole", 0), monday, 1000, 1300, "Cup")
                for monday in (MONDAY + timedelta(weeks=n) for n in range(count))
            ),
        )
        assert [len(p.lost_dates) for p in solve(problem, Effort(10)).placements] == lost


def test_a_pin_on_held_ground_is_a_contradiction() -> None:
    """What a person put on a match cannot stand."""
    pin = Placement("a", 0, "top-thirds-0", 0, 1080, 1140)
    problem = make_problem(CUTS, make_ask(pinned=(pin,)), standing=matches(0))
    outcome = solve(problem, Effort(10))
    assert "a standing booking has the ground" in tell_reason(outcome.contradictions[0])


def test_nobody_changes_over_from_a_closure() -> None:
    """Right after a match the ground is still being cleared; right after a closure it is free."""
    match = Standing("top", strip_cells("whole", 0), MONDAY, 1020, 1080, "Cup")
    closed = replace(match, needs_changeover=False)
    for standing, first in ((match, 1110), (closed, 1080)):
        problem = make_problem(
            make_pitch(), make_ask(), standing=(standing,), changeover_minutes=15
        )
        places = {(ground.key, 0, start) for ground in make_pitch() for start in (1080, 1110, 1140)}
        free = places - broken_places(problem, RULE)
        assert free == places - faulty_places(problem, "standing booking")
        assert min(start for _ground, _day, start in free) == first
