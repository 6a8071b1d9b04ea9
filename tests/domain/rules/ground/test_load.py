"""The rule of how much a pitch bears in a week."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest

from clubplanner.domain.club.sharing_rules import AgeRule, PitchLimit, SharingRules
from clubplanner.domain.ground.wear import WearLimit
from clubplanner.domain.rules.case import Scene, WeekLimit
from clubplanner.domain.rules.ground.load import (
    limits_of_pitches,
    load,
    minutes_of_pitch,
    percents_of_squads,
)
from tests.builders import A_WEDNESDAY, make_area, make_pitch, make_venue
from tests.domain.rules.builders import (
    KESTRELS,
    LARKS,
    OWLS,
    TOP,
    make_case,
    make_hire,
    make_match,
    make_scene,
    of_hirer,
    of_nobody,
    of_owls,
    words_of,
)

WORDS = "Top pitch would be used more than it bears in the week of Mon 23 Nov."
MONDAY = date(2026, 11, 23)


def limited(*bookings: Any, percents: Any = None, **limit: int) -> Scene:
    """Return a scene in which the top pitch has a limit a week."""
    return make_scene(*bookings, limits={TOP: (WeekLimit(**limit),)}, percents=percents or {})


@pytest.mark.parametrize(("most", "is_refused"), [(76, False), (75, True)])
def test_minutes_of_the_whole_pitch_count(most: int, *, is_refused: bool) -> None:
    """Half the pitch for 75 minutes is 38, rounded up; with as many of the Owls it is 76."""
    scene = limited(of_owls(day=MONDAY), most_minutes=most)
    assert minutes_of_pitch(make_pitch(), make_pitch().area("half-1"), 75, 100) == 38
    assert words_of(load, make_case(scene)) == (WORDS if is_refused else "")


def test_sessions_count_where_the_limit_is_in_sessions() -> None:
    """The second of two is allowed, the third is not; of the young two make one."""
    two = (of_owls(1, day=MONDAY), of_hirer(2, day=MONDAY))
    assert load(make_case(limited(two[0], most_sessions=2))) is None
    assert words_of(load, make_case(limited(*two, most_sessions=2))) == WORDS
    halved = {OWLS.key: 50, KESTRELS.key: 50}
    assert load(make_case(limited(*two, percents=halved, most_sessions=2))) is None


def test_a_week_runs_from_monday_to_sunday_on_the_wall_clock() -> None:
    """Sunday 23:45 counts in the old week, Monday 00:15 in the new one."""
    sunday = of_hirer(1, day=MONDAY - timedelta(days=1), start_min=1425, end_min=1439)
    monday = of_hirer(2, day=MONDAY, start_min=15, end_min=30)
    last = of_hirer(3, day=MONDAY + timedelta(days=6), start_min=1425, end_min=1439)
    assert load(make_case(limited(sunday, most_sessions=1))) is None
    assert load(make_case(limited(monday, most_sessions=1))) is not None
    assert load(make_case(limited(last, most_sessions=1))) is not None


def test_nobody_else_is_refused_and_closures_use_nothing() -> None:
    """Matches and hires count but are not refused; who counts nothing is let pass."""
    scene = limited(of_owls(), most_sessions=1)
    assert load(make_match(scene)) is None
    assert load(make_hire(scene)) is None
    assert load(make_case(scene, ask=None)) is not None
    assert load(make_case(limited(of_nobody(), most_sessions=1))) is None
    assert load(make_case(limited(of_owls(), percents={KESTRELS.key: 0}, most_sessions=1))) is None
    assert load(make_case(limited(of_owls(4), most_sessions=1), number=4)) is None
    assert load(make_case()) is None


def test_a_drawn_area_counts_by_its_size() -> None:
    """50 × 40 m of 100 × 60 m is a third: 25 minutes of 75; a young squad's 17."""
    drawn = make_area()
    assert minutes_of_pitch(make_pitch(), drawn, 75, 100) == 25
    assert minutes_of_pitch(make_pitch(), drawn, 75, 67) == 17


def test_limits_come_from_settings_and_from_the_grass() -> None:
    """The tighter of hours and matches (90 minutes each), beside what the settings say."""
    rules = SharingRules(limits=(PitchLimit("MARSH LANE", "top  pitch", sessions=9),))
    grass = {TOP: WearLimit(6.0, 3.0, "own measure")}
    assert limits_of_pitches(rules, grass, [make_venue()]) == {
        TOP: (WeekLimit(most_sessions=9), WeekLimit(most_minutes=270))
    }
    assert limits_of_pitches(SharingRules(), {}, [make_venue()]) == {}


def test_the_young_count_less() -> None:
    """By the club's table; else two thirds where grass has limits (Sport England 2011)."""
    squads = (OWLS, LARKS)
    table = SharingRules(ages=(AgeRule(10, wear_percent=50),))
    grass = {TOP: WearLimit(6.0, None, "own measure")}
    assert percents_of_squads(table, grass, squads) == {OWLS.key: 50, LARKS.key: 100}
    assert percents_of_squads(SharingRules(), grass, squads) == {OWLS.key: 67, LARKS.key: 100}
    assert percents_of_squads(SharingRules(), {}, squads) == {OWLS.key: 100, LARKS.key: 100}


def test_the_week_of_the_date_is_named() -> None:
    """Whatever weekday is looked at."""
    sunday = make_case(limited(of_owls(day=A_WEDNESDAY), most_sessions=1), day=date(2026, 11, 29))
    assert words_of(load, sunday) == WORDS
