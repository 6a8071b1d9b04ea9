"""Which way round plans lie: by the way in, by north, or with the long side across."""

from __future__ import annotations

import pytest

from clubplanner.domain.ground.orientation.facing import (
    UP_FROM_X_DEG,
    Edge,
    Facing,
    chosen_facing,
    edge_at_bottom,
    facing_deg,
    opposite,
    plans_facing,
)
from clubplanner.geometry.frame import Frame
from tests.builders import make_pitch


@pytest.mark.parametrize(
    ("entrance", "edge"),
    [
        ((-5.0, 30.0), Edge.START),
        ((104.0, 10.0), Edge.FAR),
        ((40.0, -3.0), Edge.RIGHT),
        ((40.0, 66.0), Edge.LEFT),
        ((99.0, 30.0), Edge.FAR),
    ],
)
def test_the_way_in_comes_to_lie_at_the_bottom(entrance: tuple[float, float], edge: Edge) -> None:
    """The edge nearest to the entrance is at the bottom, when that was chosen and not before."""
    pitch = make_pitch(entrance=entrance)  # 100 × 60 m
    assert edge_at_bottom(pitch) is Edge.RIGHT
    with plans_facing(Facing.ENTRANCE):
        assert chosen_facing() is Facing.ENTRANCE
        assert edge_at_bottom(pitch) is edge
        assert edge_at_bottom(make_pitch()) is Edge.RIGHT, "nobody knows where the way in is"


@pytest.mark.parametrize(
    ("bearing", "edge"),
    [(0, Edge.START), (90, Edge.RIGHT), (180, Edge.FAR), (270, Edge.LEFT), (50, Edge.RIGHT)],
)
def test_north_comes_to_lie_at_the_top(bearing: float, edge: Edge) -> None:
    """What is up on the plan is within 45° of north."""
    pitch = make_pitch(frame=Frame(-1.2, 52.9, bearing))
    with plans_facing(Facing.NORTH):
        bottom = edge_at_bottom(pitch)
        assert bottom is edge
        up = (bearing + UP_FROM_X_DEG[bottom] + 180) % 360 - 180
        assert abs(up) <= 45
        assert edge_at_bottom(make_pitch()) is Edge.RIGHT, "no bearing is known"


def test_edges_face_away_from_the_middle() -> None:
    """The far end lies along x, the right side 90° clockwise of it, each across from another."""
    frame = Frame(-1.2, 52.9, 54)
    assert [facing_deg(frame, edge) % 360 for edge in (Edge.FAR, Edge.RIGHT)] == [54, 144]
    assert [facing_deg(frame, edge) % 360 for edge in (Edge.START, Edge.LEFT)] == [234, 324]
    assert [opposite(edge) for edge in Edge] == [Edge.LEFT, Edge.FAR, Edge.RIGHT, Edge.START]
