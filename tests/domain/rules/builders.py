"""A scene round an evening and a case in it, for the tests of the rules.

Marsh Lane has one pitch, `TOP`; a second venue is made by `far_away`. Unless a test says otherwise
the U12 Kestrels (`KESTRELS`, coached by Robin Hale) would train on "half-1" from 18:00 to 19:15 on
a Wednesday in November, and have asked for that.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING, Any

from clubplanner.domain.booked.bookings import Booking, Purpose
from clubplanner.domain.club.settings import ClubSettings
from clubplanner.domain.rules.case import Case, Scene
from tests.builders import (
    A_WEDNESDAY,
    make_ask,
    make_booking,
    make_pitch,
    make_range,
    make_squad,
    make_venue,
)

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from clubplanner.domain.ground.grounds import Pitch, Venue
    from clubplanner.domain.rules.case import Hindrance

TOP = "marsh-lane-top-pitch"
KESTRELS = make_squad()
OWLS = make_squad("U10 Owls", age_group="U10", coach=" robin HALE ")
"""Coached by the same person, whose name somebody typed differently."""
LARKS = make_squad("Larks", age_group="Adult", coach="Sam Reed")
SQUADS = {squad.key: squad for squad in (KESTRELS, OWLS, LARKS)}

SPRING_FORWARD = date(2027, 3, 28)
"""A Sunday: in London the clocks go from 01:00 to 02:00 (Summer Time Order 2002)."""
FALL_BACK = date(2026, 10, 25)
"""A Sunday: in London the clocks go from 02:00 back to 01:00 (Summer Time Order 2002)."""
CHANGES = (SPRING_FORWARD, FALL_BACK)


def make_scene(*bookings: Booking, venues: Iterable[Venue] = (), **changes: Any) -> Scene:
    """Return a scene of Marsh Lane with some bookings.

    `changes` are fields of the scene or of the club's settings, by their own names.
    """
    of_club = {key: changes.pop(key) for key in list(changes) if key in ClubSettings.__slots__}
    scene = Scene(
        club=replace(ClubSettings("Alderby Rovers", "Europe/London"), **of_club),
        venues=tuple(venues) or (make_venue(),),
        bookings=bookings,
        squads=SQUADS,
    )
    return replace(scene, **changes)


def make_case(
    scene: Scene | None = None,
    *,
    day: date = A_WEDNESDAY,
    start_min: int = 18 * 60,
    end_min: int = 19 * 60 + 15,
    area_key: str = "half-1",
    **changes: Any,
) -> Case:
    """Return a training of the Kestrels; `changes` are fields of the case, by their own names."""
    scene = scene or make_scene()
    pitch: Pitch = scene.venues[0].pitches[0]
    case = Case(
        scene,
        pitch,
        pitch.area(area_key),
        make_range(day, start_min, end_min, scene.club.time_zone),
        purpose=Purpose.TRAINING,
        squad=KESTRELS,
        ask=make_ask(),
    )
    return replace(case, **changes)


def make_hire(scene: Scene | None = None, **changes: Any) -> Case:
    """Return the case of a hirer, who has neither squad nor ask."""
    return make_case(scene, purpose=Purpose.HIRE, squad=None, ask=None, **changes)


def make_match(scene: Scene | None = None, **changes: Any) -> Case:
    """Return the case of the Kestrels' match, to which no ask belongs."""
    return make_case(scene, purpose=Purpose.MATCH, ask=None, **changes)


def booked(
    number: int = 1,
    *,
    day: date = A_WEDNESDAY,
    start_min: int = 18 * 60,
    end_min: int = 19 * 60 + 15,
    area_key: str = "half-1",
    **changes: Any,
) -> Booking:
    """Return what stands on the top pitch, by default the Kestrels' training on "half-1"."""
    area = make_pitch().area(area_key)
    return make_booking(number, area=area, during=make_range(day, start_min, end_min), **changes)


def of_owls(number: int = 1, **changes: Any) -> Booking:
    """Return a training of the Owls, whom Robin Hale coaches too."""
    return booked(number, squad_key=OWLS.key, holder=OWLS.name, **changes)


def of_hirer(number: int = 1, **changes: Any) -> Booking:
    """Return a hire."""
    return booked(number, squad_key=None, holder="Choir", purpose=Purpose.HIRE, **changes)


def of_nobody(number: int = 1, **changes: Any) -> Booking:
    """Return a closure."""
    return booked(number, squad_key=None, holder="Frost", purpose=Purpose.CLOSED, **changes)


def venue_with(**changes: Any) -> tuple[Venue]:
    """Return Marsh Lane with a pitch that differs in `changes`, and nothing else."""
    return (make_venue(pitches=(make_pitch(**changes),)),)


def far_away() -> Venue:
    """Return another venue, Hill Road, with one pitch."""
    pitch = make_pitch("Far pitch", venue_key="hill-road")
    return make_venue("Hill Road", pitches=(replace(pitch, key="hill-road-far-pitch"),))


def words_of(rule: Callable[[Case], Hindrance | None], case: Case) -> str:
    """Return what a rule says; blank where it lets the case pass."""
    found = rule(case)
    return "" if found is None else found.words
