"""The rule of surfaces."""

from __future__ import annotations

from clubplanner.domain.rules.ground.surface import surface
from tests.builders import make_ask
from tests.domain.rules.builders import make_case, make_hire, make_match, make_scene, venue_with

INDOORS = make_ask(surfaces=frozenset({"indoor", "artificial"}))


def test_ground_of_another_surface_is_refused_as_a_wish() -> None:
    """What would do is named."""
    found = surface(make_case(ask=INDOORS))
    assert found is not None
    assert found.is_own
    assert found.words == "Top pitch is grass; U12 Kestrels ask for artificial, indoor."


def test_any_of_those_named_will_do() -> None:
    """And any at all where none is named, and for who asked for nothing."""
    artificial = make_scene(venues=venue_with(surface="artificial"))
    assert surface(make_case(artificial, ask=INDOORS)) is None
    for case in (make_case(), make_case(ask=None), make_match(), make_hire()):
        assert surface(case) is None
