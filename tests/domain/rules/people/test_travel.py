"""The rule of the way between venues."""

from __future__ import annotations

from typing import Any

import pytest

from clubplanner.domain.rules.people.travel import travel
from tests.builders import make_venue
from tests.domain.rules.builders import (
    LARKS,
    booked,
    far_away,
    make_case,
    make_hire,
    make_match,
    make_scene,
    of_owls,
    words_of,
)

FAR: dict[str, Any] = {"pitch_key": "hill-road-far-pitch", "area_key": "whole"}
VENUES = [make_venue(), far_away()]
SCENE = make_scene(of_owls(7, start_min=1140, end_min=1200, **FAR), venues=VENUES)
WORDS = "The way from Far pitch 19:00–20:00 (U10 Owls) takes 30 minutes."


@pytest.mark.parametrize(
    ("start_min", "end_min", "is_refused"),
    [
        (1050, 1110, False),
        (1050, 1111, True),
        (1050, 1140, True),
        (1230, 1290, False),
        (1229, 1290, True),
        (1100, 1150, False),  # two places at once is another rule
    ],
)
def test_there_is_time_for_the_way(start_min: int, end_min: int, *, is_refused: bool) -> None:
    """Half an hour before and after a session at another venue; exactly that much will do."""
    case = make_case(SCENE, start_min=start_min, end_min=end_min)
    assert words_of(travel, case) == (WORDS if is_refused else "")


def test_the_squad_itself_goes_the_way_too() -> None:
    """To its match as to its training, with an ask or without."""
    scene = make_scene(booked(1, start_min=1140, end_min=1200, **FAR), venues=VENUES)
    near: dict[str, Any] = {"start_min": 1050, "end_min": 1140}
    for case in (make_case(scene, **near), make_match(scene, **near)):
        assert "(U12 Kestrels)" in words_of(travel, case)
    assert travel(make_case(scene, ask=None, **near)) is not None
    assert travel(make_case(scene, number=1, **near)) is None


def test_over_midnight_the_way_is_as_long() -> None:
    """From what ends at 23:55 to what begins at 00:20."""
    scene = make_scene(of_owls(start_min=1380, end_min=1435, **FAR), venues=VENUES)
    assert travel(make_case(scene, start_min=1460, end_min=1500)) is not None
    assert travel(make_case(scene, start_min=1465, end_min=1500)) is None


def test_there_is_no_way_within_a_venue_for_hirers_or_for_others() -> None:
    """Nor in a club whose venues lie side by side."""
    near: dict[str, Any] = {"start_min": 1050, "end_min": 1140}
    here = make_scene(of_owls(1, start_min=1140, end_min=1200), venues=VENUES)
    assert travel(make_case(here, **near)) is None
    assert travel(make_hire(SCENE, **near)) is None
    assert travel(make_case(SCENE, squad=LARKS, **near)) is None
    beside = make_scene(*SCENE.bookings, venues=VENUES, travel_minutes=0)
    assert travel(make_case(beside, **near)) is None
