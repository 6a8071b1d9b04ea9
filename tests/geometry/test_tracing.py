"""Outlines from a picture: its scale, what they measure, and the pitch they become."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import Polygon

from clubplanner.geometry.tracing import measure, metres_per_point, trace

L_SHAPE = [(0.0, 0.0), (80.0, 0.0), (80.0, 30.0), (40.0, 30.0), (40.0, 60.0), (0.0, 60.0)]


def turned(corners: list[tuple[float, float]], degrees: float) -> list[tuple[float, float]]:
    """Return corners turned round the origin."""
    a = math.radians(degrees)
    return [(x * math.cos(a) - y * math.sin(a), x * math.sin(a) + y * math.cos(a))
            for x, y in corners]  # fmt: skip


def test_the_scale_is_a_known_distance_over_points() -> None:
    """Two points 3-4-5 apart; without a distance there is no scale."""
    assert metres_per_point((10, 10), (40, 50), 25.0) == pytest.approx(0.5)
    with pytest.raises(ValueError, match="same"):
        metres_per_point((1, 1), (1, 1), 25.0)


@pytest.mark.parametrize("is_reversed", [False, True])
def test_an_l_measures_what_it_measures(*, is_reversed: bool) -> None:
    """Area, sides and angles do not depend on the way round."""
    corners = L_SHAPE[::-1] if is_reversed else L_SHAPE
    found = measure(corners, 0.5)
    assert found.area_m2 == pytest.approx((80 * 30 + 40 * 30) / 4)
    assert sorted(found.sides_m) == pytest.approx([15, 15, 20, 20, 30, 40])
    assert sorted(found.angles_deg) == pytest.approx([90, 90, 90, 90, 90, 270])


@given(
    st.floats(0, 180, exclude_max=True),
    st.floats(0.05, 2.0),
    st.lists(st.floats(-0.2, 0.2), min_size=8, max_size=8),
)
def test_a_rectangle_comes_back_whichever_way_it_lies(
    degrees: float, scale_m: float, slips: list[float]
) -> None:
    """100 × 64 m, traced with a slip at each corner, in a picture of any scale and turn."""
    exact = [(0.0, 0.0), (100.0, 0.0), (100.0, 64.0), (0.0, 64.0)]
    slipped = [(x + slips[2 * n], y + slips[2 * n + 1]) for n, (x, y) in enumerate(exact)]
    corners = [(x / scale_m, y / scale_m) for x, y in turned(slipped, degrees)]
    found = trace(corners, scale_m)
    x0, y0, x1, y1 = found.polygon.bounds
    assert (x0, y0) == (0, 0)
    assert (x1, y1) == pytest.approx((100, 64), abs=0.5)
    assert len(found.polygon.exterior.coords) == 5
    away = abs((found.bearing_deg - (90 + degrees) + 90) % 180 - 90)
    assert away < 0.5, "y counts down in a picture, so it turns with the compass"


def test_an_outline_that_is_no_rectangle_keeps_its_shape() -> None:
    """Turned into its own frame, not mirrored: the notch lies where it lay."""
    found = trace(turned(L_SHAPE, 30), 1.0)
    assert found.polygon.area == pytest.approx(3600, abs=0.5)
    upright = Polygon([(x, 60 - y) for x, y in L_SHAPE])
    half_turn = Polygon([(80 - x, y) for x, y in L_SHAPE])
    gap = min(found.polygon.symmetric_difference(shape).area for shape in (upright, half_turn))
    assert gap < 1.0
