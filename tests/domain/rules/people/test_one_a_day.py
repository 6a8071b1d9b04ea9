"""The rule of one training a day."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.club.settings import ClubSettings
from clubplanner.domain.rules.case import Case, Scene
from clubplanner.domain.rules.people.one_a_day import one_a_day
from tests.builders import (
    A_WEDNESDAY,
    make_ask,
    make_booking,
    make_range,
    make_squad,
    make_venue,
)

SQUAD = make_squad()
MORNING = make_range(A_WEDNESDAY, 10 * 60, 11 * 60)


def words_of(*booked: dict[str, Any], asks: int = 1, **changes: Any) -> str:
    """Say what stands in the way of the squad's training on Wednesday evening, if anything."""
    venue = make_venue()
    bookings = [
        make_booking(n, **{"during": MORNING, **values}) for n, values in enumerate(booked, 1)
    ]
    scene = Scene(
        ClubSettings("Alderby Rovers", "Europe/London"),
        (venue,),
        bookings,
        squads={SQUAD.key: SQUAD},
        asks={SQUAD.key: [make_ask()] * asks},
    )
    pitch = venue.pitches[0]
    values = {"purpose": Purpose.TRAINING, "squad": SQUAD, **changes}
    found = one_a_day(Case(scene, pitch, pitch.areas[0], make_range(), **values))
    return "" if found is None else found.words


def test_a_second_training_on_a_day_is_refused() -> None:
    """A squad with one ask trains once a day, at whatever time and place."""
    expected = "U12 Kestrels have 1 training that day already and ask for no more."
    assert words_of({}) == expected
    assert words_of() == ""


@pytest.mark.parametrize(
    "booked",
    [
        {"purpose": Purpose.MATCH},
        {"squad_key": "u14-harriers"},
        {"during": make_range(A_WEDNESDAY - timedelta(days=1), 600, 660)},
    ],
)
def test_what_is_no_training_of_the_day_does_not_count(booked: dict[str, Any]) -> None:
    """Neither a match, nor another squad's training, nor one of the day before."""
    assert words_of(booked) == ""


def test_a_squad_with_two_asks_may_train_twice_a_day() -> None:
    """As many trainings a day as asks, and no more."""
    assert words_of({}, asks=2) == ""
    assert "2 trainings that day already" in words_of({}, {}, asks=2)


def test_it_binds_trainings_of_squads_that_ask() -> None:
    """A match may follow a training; a squad without an ask may train as often as it likes."""
    assert words_of({}, purpose=Purpose.MATCH) == ""
    assert words_of({}, asks=0) == ""
    assert words_of({}, number=1) == ""


def test_an_ask_on_top_is_one_more() -> None:
    """What a coach asks for besides, for that day, is let through once; the usual ask is not."""
    on_top = make_ask(minutes=45)
    assert words_of({}, ask=on_top) == ""
    assert words_of({}, {}, ask=on_top) != ""
    assert words_of({}, ask=make_ask()) != ""


def test_a_session_that_moves_within_its_day_is_none_more() -> None:
    """Two that stand on a day may each move within it; one that comes from elsewhere may not."""
    later = make_range(A_WEDNESDAY, 20 * 60, 21 * 60)
    assert words_of({}, was=later) == ""
    assert "1 training that day" in words_of({}, was=make_range(A_WEDNESDAY + timedelta(days=1)))
