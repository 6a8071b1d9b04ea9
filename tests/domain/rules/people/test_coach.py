"""The rule of one place at a time."""

from __future__ import annotations

from dataclasses import replace

import pytest

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.club.persons.coaches import Coach
from clubplanner.domain.rules.people.coach import coach
from tests.domain.rules.builders import (
    KESTRELS,
    LARKS,
    SQUADS,
    TOP,
    booked,
    make_case,
    make_hire,
    make_match,
    make_scene,
    of_owls,
    words_of,
)

OWLS = of_owls(7, area_key="half-2", start_min=1140, end_min=1200)
OWLS_KEY = "u10-owls"
SCENE = make_scene(OWLS)
OTHER = SCENE.pitches[TOP].area("half-2").name


@pytest.mark.parametrize(
    ("start_min", "end_min", "is_refused"),
    [(1080, 1140, False), (1080, 1141, True), (1199, 1260, True), (1200, 1260, False)],
)
def test_a_coach_is_with_one_squad_at_a_time(
    start_min: int, end_min: int, *, is_refused: bool
) -> None:
    """The same person, however the name is typed; sessions may touch."""
    case = make_case(SCENE, start_min=start_min, end_min=end_min)
    words = f"Robin Hale is also with U10 Owls on {OTHER}, Top pitch 19:00–20:00."
    assert words_of(coach, case) == (words if is_refused else "")


def test_a_squad_is_in_one_place_at_a_time() -> None:
    """Its match is in the way of its training, and the other way round."""
    other = booked(3, area_key="half-2", purpose=Purpose.MATCH)
    words = f"U12 Kestrels also have {OTHER}, Top pitch 18:00–19:15."
    for case in (make_case(make_scene(other)), make_match(make_scene(other))):
        assert words_of(coach, case) == words
        assert coach(case).holders == (other,)  # type: ignore[union-attr]
    assert coach(make_case(make_scene(other), ask=None)) is not None


def test_over_midnight_the_evening_goes_on() -> None:
    """At half past twelve the session of 23:00 is not over."""
    scene = make_scene(of_owls(area_key="half-2", start_min=1380, end_min=1500))
    assert coach(make_case(scene, start_min=1470, end_min=1530)) is not None
    assert coach(make_case(scene, start_min=1500, end_min=1560)) is None


def test_hirers_others_and_its_own_booking_are_in_nobodys_way() -> None:
    """Nor is a closure that names a squad, nor somebody whose coach is not known."""
    assert coach(make_hire(SCENE)) is None
    assert coach(make_case(SCENE, squad=LARKS, start_min=1140, end_min=1200)) is None
    own = make_scene(booked(5))
    assert coach(make_case(own, number=5)) is None
    closed = booked(6, purpose=Purpose.CLOSED)
    assert coach(make_case(make_scene(closed))) is None


def test_a_person_is_known_by_number_not_by_name() -> None:
    """Two of one name can be in two places; one person under two names cannot."""
    for owls, kestrels, is_refused in ((4, 5, False), (4, 4, True)):
        name = "Bobby" if is_refused else "Robin Hale"
        squads = {
            **SQUADS,
            OWLS_KEY: replace(SQUADS[OWLS_KEY], coach=name, coach_number=owls),
            KESTRELS.key: replace(KESTRELS, coach_number=kestrels),
        }
        scene = make_scene(OWLS, squads=squads)
        case = make_case(scene, squad=squads[KESTRELS.key], start_min=1140, end_min=1200)
        assert (coach(case) is not None) == is_refused


def test_an_assistant_can_be_elsewhere() -> None:
    """Only who answers for a squad binds it."""
    helper = (Coach("Robin Hale", number=4, position=1),)
    squads = {
        **SQUADS,
        OWLS_KEY: replace(SQUADS[OWLS_KEY], coach="Ann", coach_number=5, assistants=helper),
        KESTRELS.key: replace(KESTRELS, coach_number=4),
    }
    case = make_case(
        make_scene(OWLS, squads=squads), squad=squads[KESTRELS.key], start_min=1140, end_min=1200
    )
    assert coach(case) is None
