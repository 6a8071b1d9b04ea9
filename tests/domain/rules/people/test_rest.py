"""The rule of rest."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.rules.people.rest import rest
from tests.builders import A_WEDNESDAY, make_ask
from tests.domain.rules.builders import (
    CHANGES,
    KESTRELS,
    booked,
    make_case,
    make_hire,
    make_match,
    make_scene,
    of_owls,
    words_of,
)

RESTED = make_ask(rest_days=1)
ASKS = {KESTRELS.key: (RESTED,)}


@pytest.mark.parametrize(
    ("days", "is_refused"), [(-2, False), (-1, True), (0, True), (1, True), (2, False)]
)
def test_days_lie_between_two_trainings(days: int, *, is_refused: bool) -> None:
    """One day of rest: neither the day before, nor the same, nor the day after."""
    other = booked(1, day=A_WEDNESDAY + timedelta(days=days), start_min=600, end_min=660)
    found = rest(make_case(make_scene(other, asks=ASKS), ask=RESTED))
    assert (found is not None) == is_refused
    if found is not None:
        assert found.holders == (other,)
        assert "between two trainings they want 1 day of rest." in found.words


def test_the_most_rest_that_any_of_its_asks_wants_counts() -> None:
    """Also for a training that comes from another ask, or from none."""
    asks = {KESTRELS.key: (make_ask(), make_ask(rest_days=2))}
    scene = make_scene(booked(day=A_WEDNESDAY + timedelta(days=2)), asks=asks)
    for case in (make_case(scene), make_case(scene, ask=None)):
        assert "they want 2 days of rest" in words_of(rest, case)


@pytest.mark.parametrize("sunday", CHANGES)
def test_dates_are_those_on_the_wall(sunday: date) -> None:
    """A training over midnight belongs to its evening, and a long night is one night."""
    saturday = sunday - timedelta(days=1)
    late = booked(day=saturday, start_min=1380, end_min=1500)
    scene = make_scene(late, asks=ASKS)
    assert rest(make_case(scene, day=sunday, start_min=600)) is not None
    assert rest(make_case(scene, day=sunday + timedelta(days=1), start_min=0)) is None


def test_days_next_to_match_days_are_kept_free() -> None:
    """On the eve of a Thursday and on the morrow of a Tuesday nobody trains, as the ask says."""
    eve = make_case(ask=make_ask(no_day_before=frozenset({3})))
    assert words_of(rest, eve) == "U12 Kestrels do not train on the day before Thursday."
    morrow = make_case(ask=make_ask(no_day_after=frozenset({1})))
    assert words_of(rest, morrow) == "U12 Kestrels do not train on the day after Tuesday."
    assert rest(make_case(ask=make_ask(no_day_before=frozenset({2, 4})))) is None
    sunday = make_ask(no_day_before=frozenset({0}))
    assert rest(make_case(ask=sunday, day=A_WEDNESDAY + timedelta(days=4))) is not None


def test_matches_hires_and_others_need_no_rest() -> None:
    """Nor does the booking that is moved, nor who asks for none."""
    scene = make_scene(booked(1), asks=ASKS)
    assert rest(make_match(scene)) is None
    assert rest(make_hire(scene)) is None
    assert rest(make_case(scene, number=1, ask=RESTED)) is None
    assert rest(make_case(make_scene(booked(1)))) is None
    near = make_scene(booked(1, purpose=Purpose.MATCH), of_owls(2), asks=ASKS)
    assert rest(make_case(near, ask=RESTED)) is None
