"""What the database adds up is what one has by adding up booking by booking."""

from __future__ import annotations

from collections import defaultdict
from datetime import UTC, date, datetime
from typing import TYPE_CHECKING

import pytest
from hypothesis import HealthCheck, given, settings

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.club.fair import Stint, share_ground
from clubplanner.domain.times.times import range_from_wall
from clubplanner.services.history.fairness import see_fairness, served_so_far
from clubplanner.services.history.past import past_balances
from clubplanner.services.rows.snapshot import load_bookings, load_squads, load_venues
from tests.builders import LONDON
from tests.drawn_bookings import Drawn, drawn_bookings, put_drawn
from tests.services.history.test_fairness import publish
from tests.small_club import HARRIERS, KESTRELS

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

NOVEMBER = datetime(2026, 11, 18, 19, 30, 7, 482_193, tzinfo=UTC)
SPRING = date(2027, 4, 12)


@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(drawn=drawn_bookings())
def test_hours_and_ground_are_those_of_each_booking(small: Store, drawn: list[Drawn]) -> None:
    """Training since the season began that has begun by now, with its length and its ground."""
    put_drawn(small, drawn)
    with small.read() as session:
        so_far = range_from_wall(date(2026, 10, 12), 0, 38 * 1440, LONDON)
        bookings = [
            one
            for one in load_bookings(session, so_far)
            if one.purpose is Purpose.TRAINING and one.squad_key
            if one.during.starts_at < NOVEMBER
        ]
        squads = {squad.key: squad for squad in load_squads(session)}
        pitches = {p.key: p for venue in load_venues(session) for p in venue.pitches}
        served = served_so_far(session, NOVEMBER)
    hours: dict[str, float] = defaultdict(float)
    stints = []
    for one in bookings:
        key = one.squad_key or ""
        hours[key] += one.during.minutes / 60
        m2 = pitches[one.pitch_key].area(one.area_key).area_m2 / squads[key].players
        stints.append(Stint(key, one.during.minutes / 60, m2))
    ground = share_ground(stints)
    page = see_fairness(small, NOVEMBER)
    assert {fair.key for fair in page.squads if fair.ground} == set(ground)
    for fair in page.squads:
        assert fair.hours == pytest.approx(hours[fair.key])
        assert served[fair.key] == pytest.approx(hours[fair.key] / fair.asked)
        if fair.ground is not None:
            told = fair.ground.good, fair.ground.middling, fair.ground.bad
            plain = ground[fair.key].good, ground[fair.key].middling, ground[fair.key].bad
            assert told == pytest.approx(plain)


@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(drawn=drawn_bookings())
def test_what_was_withdrawn_counts_as_in_a_plain_count(small: Store, drawn: list[Drawn]) -> None:
    """The part of its trainings that a squad kept lessens what its share-out gave it."""
    with small.read() as session:
        is_published = bool(past_balances(session, SPRING))
    if not is_published:
        publish(small, "winter", {KESTRELS: 90, HARRIERS: 50})
    put_drawn(small, drawn)
    points = {}
    for key, percent in ((KESTRELS, 90), (HARRIERS, 50)):
        own = [
            one.is_withdrawn
            for one in drawn
            if (one.squad_key, one.purpose) == (key, Purpose.TRAINING) and one.day >= 7
        ]
        points[key] = percent * (own.count(False) / len(own) if own else 1.0)
    mean = sum(points.values()) / 2
    with small.read() as session:
        told = past_balances(session, SPRING)
    assert told == pytest.approx({key: value - mean for key, value in points.items()})
