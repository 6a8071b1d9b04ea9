"""The book as a whole: that each rule is asked, and what may be asked once for many grounds."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from clubplanner.domain.club.sharing_rules import AgeRule, SharingRules
from clubplanner.domain.rules.book import (
    AT_THE_VENUE,
    ON_THE_AREA,
    ON_THE_PITCH,
    RULES,
    TAKEN,
    AskedOnce,
    first_hindrance,
    hindrances,
    is_free,
    least_hindered,
)
from clubplanner.domain.rules.case import Case, Scene, WeekLimit
from clubplanner.domain.times.seasons import Break
from clubplanner.domain.times.year import SquadSeason
from tests.builders import make_ask, make_pitch, make_venue
from tests.domain.rules.builders import (
    KESTRELS,
    TOP,
    booked,
    far_away,
    make_case,
    make_scene,
    of_hirer,
    of_owls,
)

HARD = make_ask(
    possible="Mon 18:00-19:00",
    surfaces=frozenset({"indoor"}),
    needs_goal=True,
    needs_light=True,
    rest_days=1,
    most_in_a_row=1,
)


def strict_scene() -> Scene:
    """Return a scene of two pitches in which nearly every rule has something to say."""
    second = make_pitch("Low pitch", is_lit=True, surface="artificial")
    return make_scene(
        of_owls(1, area_key="third-3", start_min=1090, end_min=1120),
        of_hirer(2, start_min=1160, end_min=1220),
        booked(3, day=date(2026, 11, 24)),
        booked(
            4,
            start_min=1160,
            end_min=1200,
            pitch_key="hill-road-far-pitch",
            area_key="whole",
        ),
        venues=[make_venue(pitches=(make_pitch(), second)), far_away()],
        asks={KESTRELS.key: (HARD,)},
        breaks=(Break("Camp", date(2026, 11, 25), date(2026, 11, 25)),),
        seasons={KESTRELS.key: SquadSeason(None, date(2026, 11, 1))},
        limits={TOP: (WeekLimit(most_sessions=1),)},
        changeover_minutes=15,
        rules=SharingRules(ages=(AgeRule(12, latest_finish_min=1140, earliest_start_min=1100),)),
    )


def test_every_rule_is_asked_of_the_venue_the_pitch_or_the_area() -> None:
    """None is forgotten where ground is looked for, and none asked twice."""
    assert sorted(
        rule.__name__ for rule in (*AT_THE_VENUE, *ON_THE_PITCH, *TAKEN, *ON_THE_AREA)
    ) == sorted(rule.__name__ for rule in RULES)


@pytest.mark.parametrize("start_min", [180, 1080, 1095, 1150, 1380])
def test_what_is_asked_once_says_the_same_of_all_that_ground(start_min: int) -> None:
    """Rules at the venue of every pitch, rules on the pitch of every area."""
    scene = strict_scene()
    case = make_case(scene, start_min=start_min, end_min=start_min + 75, ask=HARD)
    told = set()
    for pitch in scene.venues[0].pitches:
        for area in pitch.areas:
            there = case.on(pitch, area)
            for rule in AT_THE_VENUE:
                assert rule(there) == rule(case)
            for rule in ON_THE_PITCH:
                assert rule(there) == rule(case.on(pitch, pitch.areas[0]))
            is_taken = bool(area.cells & case.on(pitch, pitch.areas[0]).taken_cells)
            assert is_taken == (not is_free(there, TAKEN))
            told |= {one.rule for one in hindrances(there)}
    assert len(told) > 8, "most rules had something to say"


def test_free_means_that_no_rule_hinders() -> None:
    """And that which hinders least is told where none is free."""
    free = make_case(day=date(2026, 6, 24))
    assert is_free(free)
    assert hindrances(free) == ()
    dark, night = make_case(), make_case(start_min=180, end_min=240)
    assert [one.rule for one in hindrances(dark)] == ["light"]
    assert not is_free(dark)
    closed_and_dark = replace(dark, during=make_case(start_min=1300, end_min=1330).during)
    assert [one.rule for one in hindrances(closed_and_dark)] == [
        "opening hours",
        "light",
        "times asked for",
    ]
    cases: list[Case] = [closed_and_dark, dark]
    assert least_hindered(cases) == hindrances(dark)
    assert least_hindered([night, *cases, free]) == ()
    assert least_hindered([]) is None


def test_rules_that_are_asked_once_say_what_they_say_each_time() -> None:
    """Whatever was asked before, the first in the way of each place is the same."""
    for scene in (strict_scene(), make_scene(of_owls(1, area_key="third-3"))):
        rules, told = AskedOnce(), set()
        for start_min in (180, 1080, 1095, 1150, 1380, 1080):
            for day in (date(2026, 6, 24), date(2026, 11, 25)):
                case = make_case(scene, day=day, start_min=start_min, end_min=start_min + 75)
                for pitch in (pitch for venue in scene.venues for pitch in venue.pitches):
                    for area in pitch.areas:
                        there = case.on(pitch, area)
                        found = rules.first_hindrance(there)
                        assert found == first_hindrance(there)
                        told.add(found and found.rule)
        assert len(told) > 3
