"""The club's rules and wishes on their way into a share-out."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.club.settings import ClubSettings
from clubplanner.domain.club.sharing_rules import AgeRule, PitchLimit, SharingRules
from clubplanner.domain.club.squads import AskWish, Partner
from clubplanner.domain.times.windows import parse_windows
from clubplanner.errors import RefusedError
from clubplanner.services.problem.problem import build_problem
from clubplanner.services.rows.ground.known_sizes import published_formats
from clubplanner.sharing import LoadLimit, Pair, PairKind, Problem, Window, validate
from tests.builders import make_ask, make_booking, make_pitch, make_range, make_squad, make_venue

MONDAY = date(2027, 4, 12)
CLUB = ClubSettings("Hill Club", "Europe/London")
TOP = make_pitch("Top")
VENUE = replace(make_venue("Marsh Lane", opening="Mon-Fri 17:00-22:00"), pitches=(TOP,))


def problem_of(rules: SharingRules | None = None, **changes: object) -> Problem:
    """Build the problem of one Monday for an U9 and an adult squad; `changes` are to the first."""
    squads = (make_squad("U9 Owls", age_group="U9"), make_squad("Stags", age_group="Adult"))
    asks = (
        (1, replace(make_ask(squads[0].key), **changes)),  # type: ignore[arg-type]
        (2, make_ask(squads[1].key)),
    )
    club = replace(CLUB, rules=rules or SharingRules())
    match, closed = (
        make_booking(
            area=TOP.areas[0],
            pitch_key=TOP.key,
            during=make_range(MONDAY, start, start + 60),
            purpose=purpose,
        )
        for start, purpose in ((1080, Purpose.MATCH), (600, Purpose.CLOSED))
    )
    problem = build_problem(
        club, (VENUE,), (MONDAY,), (match, closed), squads, asks, published_formats()
    )
    assert validate(problem) == ()
    return problem


def test_age_rules_bind_the_squads_they_are_for() -> None:
    """The young finish by the club's table or their own earlier hour; adults do not."""
    rules = SharingRules(ages=(AgeRule(10, 1170, 50),))
    young, adult = problem_of(rules).asks
    assert (young.latest_finish_min, young.wear_percent) == (1170, 50)
    assert (adult.latest_finish_min, adult.wear_percent) == (None, 100)
    schools = SharingRules(ages=(AgeRule(10, earliest_start_min=990),))
    assert [ask.earliest_start_min for ask in problem_of(schools).asks] == [990, None]
    assert problem_of(rules, most_in_a_row=2).asks[0].most_in_a_row == 2
    assert problem_of(rules, latest_finish_min=1150).asks[0].latest_finish_min == 1150
    assert problem_of(rules, latest_finish_min=1200).asks[0].latest_finish_min == 1170


def test_limits_find_their_places_by_name() -> None:
    """Names are read as people write them; a match wears the grass, a closure does not."""
    rules = SharingRules(
        limits=(PitchLimit("marsh  lane", "TOP", 600),),
        wants_compact=True,
    )
    problem = problem_of(rules)
    assert problem.loads == (LoadLimit(TOP.key, 600),)
    assert problem.wants_compact
    assert sorted(booking.wear_percent for booking in problem.standing) == [0, 100]


def test_wishes_are_for_the_days_of_the_plan() -> None:
    """Days, times and places; a wish for a day that the plan does not have is left out."""
    wishes = (
        AskWish(3, windows=parse_windows("Mon 18:00-19:30; Tue 18:00-19:30")),
        AskWish(2, weekdays=(0, 3)),
        AskWish(1, weekdays=(4,)),
        AskWish(1, place="marsh lane"),
        AskWish(2, place="Top"),
    )
    times, days, venue, pitch = problem_of(None, wishes=wishes).asks[0].wishes
    assert (times.grade, times.windows) == (3, (Window(0, 1080, 1170),))
    assert days.days == frozenset({0})
    assert venue.venues == frozenset({VENUE.key})
    assert pitch.grounds == frozenset({f"{TOP.key}/{TOP.areas[0].key}"})


def test_partners_come_along() -> None:
    """What a squad wishes of another one."""
    problem = problem_of(None, partners=(Partner("same evening", "stags", 3),))
    assert problem.pairs == (Pair(PairKind.SAME_EVENING, "u9-owls", "stags", 3),)


def test_a_place_that_is_not_there_is_told() -> None:
    """The message names it and what there is."""
    with pytest.raises(RefusedError, match="Moon"):
        problem_of(SharingRules(limits=(PitchLimit("Marsh Lane", "Moon", 600),)))


def test_a_wished_place_that_is_not_there_is_told() -> None:
    """So is a wish for it, with the squad's name."""
    with pytest.raises(RefusedError, match="U9 Owls wishes for “Moon”"):
        problem_of(None, wishes=(AskWish(2, place="Moon"),))
