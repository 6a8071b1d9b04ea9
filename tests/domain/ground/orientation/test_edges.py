"""The names of a pitch's edges."""

from __future__ import annotations

import pytest

from clubplanner.domain.ground.grounds import Edges
from clubplanner.domain.ground.orientation.edges import name_edges
from clubplanner.domain.ground.plans import PlanError
from clubplanner.geometry.frame import Frame
from tests.builders import LEVEL_FRAME


def test_edges_without_names_are_called_by_the_way_they_face() -> None:
    """With a bearing it is the compass; without one the place along x and y."""
    assert name_edges(LEVEL_FRAME, {}) == Edges("West end", "East end", "South side", "North side")
    assert name_edges(Frame(0, 50, 45.0), {}).far == "North-east end"
    assert name_edges(None, {"far": "Road end"}) == Edges(
        "Start end", "Road end", "Right side", "Left side"
    )


@pytest.mark.parametrize("bearing_deg", [0.0, 20.0, 45.0, 70.0, 90.0, 135.0, 160.0, 179.0])
def test_a_name_goes_to_the_edge_that_faces_most_nearly_that_way(bearing_deg: float) -> None:
    """The name given to the compass point of an edge comes to that edge."""
    frame = Frame(0, 50, bearing_deg)
    unnamed = name_edges(frame, {})
    for edge in ("start", "far", "right", "left"):
        point = str(getattr(unnamed, edge)).lower().removesuffix(" end").removesuffix(" side")
        assert getattr(name_edges(frame, {point: "Hedge"}), edge) == "Hedge"


@pytest.mark.parametrize(
    ("frame", "names", "message"),
    [
        (None, {"north": "Road end"}, "called start, far, left or right, not “north”"),
        (LEVEL_FRAME, {"up": "Road end"}, "“up” is not a compass point; write one of north"),
        (
            Frame(0, 50, 80.0),
            {"east": "Road end", "north-east": "Mill end"},
            "“Mill end” and “Road end” both name the same edge.*towards the east",
        ),
    ],
)
def test_edge_names_that_do_not_fit_are_refused(
    frame: Frame | None, names: dict[str, str], message: str
) -> None:
    """Each message says which name and what to write."""
    with pytest.raises(PlanError, match=message):
        name_edges(frame, names)
