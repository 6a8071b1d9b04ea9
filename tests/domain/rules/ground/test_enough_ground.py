"""The rule of enough ground."""

from __future__ import annotations

from typing import Any

import pytest

from clubplanner.domain.club.squads import LeastGround
from clubplanner.domain.rules.ground.enough_ground import enough_ground, share_of_pitch
from clubplanner.geometry.shapes import rectangle
from tests.builders import make_area, make_ask, make_pitch
from tests.domain.rules.builders import make_case, make_hire, make_match, make_scene


@pytest.mark.parametrize(
    ("least", "wanted"),
    [
        ({"area_m2": 3000.0}, ""),  # half of 100 × 60 m, exactly
        ({"area_m2": 3000.4}, ""),  # corners are held to the millimetre only
        ({"area_m2": 3001.0}, "3001 m²"),
        ({"share": 0.5}, ""),
        ({"share": 0.75}, "75 % of a pitch"),
        ({"format_code": "7v7"}, ""),
        ({"format_code": "11v11"}, "room for 11v11"),
        ({"area_m2": 3000.0, "share": 0.5, "format_code": "11v11"}, "room for 11v11"),
        ({}, ""),
    ],
)
def test_every_part_of_the_least_ground_is_met(least: dict[str, Any], wanted: str) -> None:
    """Exactly as much will do; the first part that is not met is told."""
    scene = make_scene(holds_form=lambda _pitch, _area, code: code == "7v7")
    case = make_case(scene, ask=make_ask(least_ground=LeastGround(**least)))
    found = enough_ground(case)
    assert (found is not None) == bool(wanted)
    if found is not None:
        assert found.is_own
        assert found.words == (f"{case.area.name} is too small; U12 Kestrels ask for {wanted}.")


def test_three_thirds_of_a_pitch_are_thirds() -> None:
    """A third is not refused for the last digit of 0.333."""
    for key in ("third-1", "third-2", "third-3"):
        case = make_case(area_key=key, ask=make_ask(least_ground=LeastGround(share=1 / 3)))
        assert enough_ground(case) is None


def test_an_area_is_never_more_than_its_pitch() -> None:
    """A drawn one that reaches over the line counts as the whole."""
    assert share_of_pitch(make_pitch(), make_area(rectangle(0, 0, 100, 70))) == 1.0


def test_who_asked_for_nothing_takes_any_ground() -> None:
    """A match, a hirer, a squad without an ask."""
    for case in (make_case(ask=None), make_match(), make_hire()):
        assert enough_ground(case) is None
