"""The rule of lit ground for those who ask for it."""

from __future__ import annotations

from datetime import date

import pytest

from clubplanner.domain.rules.ground.floodlights import floodlights
from tests.builders import make_ask
from tests.domain.rules.builders import make_case, make_hire, make_match, make_scene, venue_with

LIT = make_ask(needs_light=True)


def test_unlit_ground_is_refused_as_a_wish_whatever_the_season() -> None:
    """In June at noon as well."""
    noon = make_case(ask=LIT, day=date(2026, 6, 24), start_min=720, end_min=780)
    for found in (floodlights(make_case(ask=LIT)), floodlights(noon)):
        assert found is not None
        assert found.is_own
        assert found.words == "Top pitch has no floodlights; U12 Kestrels ask for lit ground."


@pytest.mark.parametrize("changes", [{"is_lit": True}, {"is_indoor": True}])
def test_lamps_or_a_roof_will_do(changes: dict[str, bool]) -> None:
    """A hall is always lit."""
    assert floodlights(make_case(make_scene(venues=venue_with(**changes)), ask=LIT)) is None


def test_who_did_not_ask_for_it_is_let_pass() -> None:
    """Without an ask, a match, a hirer."""
    for case in (make_case(), make_case(ask=None), make_match(), make_hire()):
        assert floodlights(case) is None
