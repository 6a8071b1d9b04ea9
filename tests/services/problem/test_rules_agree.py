"""The rule book, the share-out and the plain checker say the same of "may this session be here?".

All three are asked of every ask on every area, date and start of drawn clubs. They are meant to
differ in this alone:

- The way between venues from a booking that stands is the rule book's alone; so is a training that
  stands as one of several evenings in a row that a plan would fill, and beside sessions of several
  asks of its squad on one day.
- Of a squad with several asks the rule book does not know which one a booked training answers: it
  counts the squad's trainings of a day; the share-out keeps each ask's sessions on different days.
- Breaks and own seasons are dates that a share-out is not given.
- Between 01:00 and 03:00 of the night on which clocks change, real time and wall time differ, and
  over midnight bookings of one date do not keep the next one's ground free for changing over.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from typing import TYPE_CHECKING

from hypothesis import given, settings
from hypothesis import strategies as st

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.rules.book import hindrances
from clubplanner.domain.rules.people.travel import travel
from clubplanner.sharing.checks.checking import check
from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.places.placements import rows_of_placements
from clubplanner.sharing.rules.book import ground_clashes, people_clashes, too_many
from clubplanner.sharing.rules.ground import (
    enough_ground,
    floodlights,
    goal,
    held_ground,
    load,
    surface,
)
from clubplanner.sharing.rules.people import rest
from clubplanner.sharing.rules.times import (
    curfew,
    earliest_start,
    latest_finish,
    light,
    opening_hours,
)
from tests.services.problem.drawn_clubs import clubs

if TYPE_CHECKING:
    from clubplanner.sharing import Placement
    from tests.services.problem.drawn_clubs import Club

EXAMPLES = settings().max_examples // 4
"""Each club is asked of thousands of places."""
GROUND = frozenset({"ground held", "ground closed", "changeover"})
TIME = frozenset(
    {
        "times asked for",
        "one place at a time",
        "one training a day",
        "rest",
        "evenings in a row",
    }
)
PAIRS = (
    ({"opening hours"}, {opening_hours.RULE}, {"closed"}),
    ({"light", "floodlights out"}, {light.RULE, curfew.RULE}, {"dark"}),
    ({"light"}, {light.RULE}, None),
    ({"floodlights out"}, {curfew.RULE}, None),
    ({"latest finish"}, {latest_finish.RULE}, {"latest finish"}),
    ({"earliest start"}, {earliest_start.RULE}, {"earliest start"}),
    ({"surface"}, {surface.RULE}, {"surface"}),
    ({"floodlights"}, {floodlights.RULE}, {"no floodlights"}),
    ({"goal"}, {goal.RULE}, {"goal"}),
    (
        {"enough ground"},
        {enough_ground.SIZE, enough_ground.FORMAT},
        {"too small", "too small a share", "format"},
    ),
    (GROUND, {held_ground.RULE}, {"standing booking"}),
    (
        TIME,
        {"asked times", rest.RULE},
        {"not possible then", "start", "day before", "day after"},
    ),
)
"""Rules by their names in the rule book, in the share-out and in the checker (None: not told apart
there). Bookings that stand take people by taking times out of those asked for."""
LOAD = ({"load of the pitch"}, {load.RULE}, {"load"})
"""What loses its only date to a booking that stands loads nothing: looked at on free ground."""


@settings(max_examples=EXAMPLES)
@given(clubs())
def test_three_voices_agree_on_every_place(club: Club) -> None:
    """Each rule is broken by the same places for all three, and the same places are free."""
    for candidate, broken in club.candidates():
        told = {one.rule for one in hindrances(club.case(candidate))} - {"way between venues"}
        codes = {fault.code for fault in check(club.problem, [candidate])}
        pairs = PAIRS if told & GROUND else (*PAIRS, LOAD)
        for ours, theirs, of_checker in pairs:
            is_broken = bool(told & ours)
            assert bool(broken & theirs) == is_broken, (candidate, told, ours)
            assert of_checker is None or bool(codes & of_checker) == is_broken, (candidate, codes)
        assert bool(told) == bool(broken) == bool(codes), (candidate, told, broken, codes)


@settings(max_examples=3 * EXAMPLES)
@given(clubs(), st.data())
def test_three_voices_agree_on_one_more_session(club: Club, data: st.DataObject) -> None:
    """With a sound plan booked, one more session is free for all three or for none."""
    free = [candidate for candidate, broken in club.candidates() if not broken]
    if not free:
        return
    plan: list[Placement] = []
    for wish in data.draw(st.lists(st.sampled_from(free), min_size=1, max_size=6)):
        if not check(club.problem, [*plan, _next_to(plan, wish)]):
            plan.append(_next_to(plan, wish))
    booked = [club.booked(one, 100 + n) for n, one in enumerate(plan)]
    scene = club.scene.with_booked(*booked)
    without_standing = club.scene.without([b.number for b in club.scene.bookings])
    on_the_way = without_standing.with_booked(*booked)
    terrain = survey(club.problem)
    rows, others = rows_of_placements(terrain, free), rows_of_placements(terrain, plan)
    clash = people_clashes(terrain, rows, others) | ground_clashes(terrain, rows, others)
    barred = clash.any(axis=1) | too_many(terrain, rows, others)
    for row, candidate in enumerate(free):
        if _is_meant_to_differ(club, plan, candidate):
            continue
        told = {one.rule for one in hindrances(club.case(candidate, scene))}
        told -= {"way between venues"}
        if travel(club.case(candidate, on_the_way)):
            told |= {"way between venues"}
        faults = check(club.problem, [*plan, _next_to(plan, candidate)])
        assert bool(told) == bool(barred[row]) == bool(faults), (candidate, plan, told, faults)


def _next_to(plan: list[Placement], candidate: Placement) -> Placement:
    """Number a session after those of its ask in a plan."""
    return replace(candidate, session=sum(one.ask == candidate.ask for one in plan))


def _is_meant_to_differ(club: Club, plan: list[Placement], candidate: Placement) -> bool:
    squad = club.squad_of(candidate)
    number = sum(ask.squad_key == squad for ask in club.asks)
    standing = Counter(
        one.during.starts_at.date()
        for one in club.scene.bookings
        if one.squad_key == squad and one.purpose is Purpose.TRAINING
    )
    is_limited = any(ask.most_in_a_row is not None for ask in club.asks if ask.squad_key == squad)
    if standing and is_limited:
        return True
    same_day = [one for one in plan if one.day == candidate.day and club.squad_of(one) == squad]
    is_again = any(one.ask == candidate.ask for one in same_day)
    return number > 1 and (is_again or bool(standing[club.date_of(candidate)] and same_day))
