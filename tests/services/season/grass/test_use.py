"""What grass is used for, as the database adds it up, beside booking by booking."""

from __future__ import annotations

from collections import defaultdict
from datetime import date, timedelta
from typing import TYPE_CHECKING

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import update

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.club.squads import age_from_group
from clubplanner.domain.ground.wear import (
    MATCH_HOURS,
    counts_as,
    match_weight,
    weigh_percent,
)
from clubplanner.domain.times.times import range_from_wall
from clubplanner.services.rows.snapshot import load_bookings, load_squads, load_zone
from clubplanner.services.season.grass.wear import guidance, measure_pitches, set_limit_by_guidance
from clubplanner.store.tables.squad_tables import SquadRow
from tests.builders import LONDON
from tests.drawn_bookings import FIRST, Drawn, drawn_bookings, put_drawn
from tests.small_club import HARRIERS, KESTRELS, LOW

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

AGES = ("U7", "U10", "U11", "U15", "U16", "Under 18s", "U19", "Seniors")
GOOD = next(row for row in guidance() if row.quality)


@given(age=st.none() | st.integers(4, 30), row=st.sampled_from([None, *guidance()]))
def test_ages_that_count_the_same_are_told_by_one(age: int | None, row: object) -> None:
    """An age group stands for all that are weighed like it, in hours and in matches."""
    quality = next((one for one in guidance() if one is row), None)
    assert weigh_percent(counts_as(age)) == weigh_percent(age)
    assert match_weight(counts_as(age), quality) == match_weight(age, quality)


@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(drawn=drawn_bookings(), ages=st.tuples(st.sampled_from(AGES), st.sampled_from(AGES)))
def test_grass_is_used_as_in_a_plain_sum(
    small: Store, drawn: list[Drawn], ages: tuple[str, str]
) -> None:
    """Hours, those of the young and matches of ten weeks, over the change of the clocks."""
    set_limit_by_guidance(small, LOW, "", GOOD.quality)
    put_drawn(small, drawn)
    with small.write() as session:
        for key, group in zip((KESTRELS, HARRIERS), ages, strict=True):
            session.connection().execute(
                update(SquadRow.__table__).where(SquadRow.key == key).values(age_group=group)  # type: ignore[arg-type]
            )
    hours: dict[date, float] = defaultdict(float)
    youth: dict[date, float] = defaultdict(float)
    matches: dict[date, float] = defaultdict(float)
    with small.read() as session:
        ((_venue, pitch, weeks),) = measure_pitches(session, FIRST, 10)
        group_of = {squad.key: squad.age_group for squad in load_squads(session)}
        zone = load_zone(session)
        for one in load_bookings(session, range_from_wall(FIRST, 0, 70 * 1440, LONDON)):
            if one.pitch_key != LOW or one.purpose is Purpose.CLOSED:
                continue
            age = age_from_group(group_of.get(one.squad_key or "", ""))
            day = one.during.starts_at.astimezone(zone).date()
            monday = day - timedelta(days=day.weekday())
            part = pitch.area(one.area_key).area_m2 / pitch.areas[0].area_m2
            adult = one.during.minutes / 60 * part * weigh_percent(age) / 100
            hours[monday] += adult
            youth[monday] += adult if weigh_percent(age) < 100 else 0.0
            is_match = one.purpose is Purpose.MATCH
            matches[monday] += match_weight(age, GOOD) if is_match else adult / MATCH_HOURS
    assert [week.monday for week in weeks] == [FIRST + timedelta(weeks=n) for n in range(10)]
    for week in weeks:
        told = week.hours, week.youth_hours, week.matches
        assert told == pytest.approx((hours[week.monday], youth[week.monday], matches[week.monday]))
