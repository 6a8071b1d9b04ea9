"""The largest rectangle on a ground."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon

from clubplanner.fitting import fit_largest
from tests.fitting.shapes import AWKWARD, DISC, HALL, L_SHAPE, THIRD, TRIANGLE, fault_in_layout


def area_of(ground: Polygon, aspect: float | None = None) -> float:
    """Return the area found, 0.0 for none, after checking that it lies on the ground."""
    piece = fit_largest(ground, aspect=aspect)
    if piece is None:
        return 0.0
    assert fault_in_layout([piece], ground) is None
    assert piece.length_m >= piece.width_m
    return piece.area_m2


def test_rectilinear_grounds_are_exact() -> None:
    """On an L-shape and in a hall with pillars the largest rectangle is found exactly."""
    assert area_of(L_SHAPE) == pytest.approx(64 * 30)
    assert area_of(HALL) == pytest.approx(33 * 9)
    assert area_of(shapely.affinity.rotate(L_SHAPE, 17)) == pytest.approx(64 * 30, rel=1e-6)


def rounded(ground: Polygon, angle_deg: float) -> Polygon:
    """Turn a ground and write its corners to millimetres, as files do."""
    turned = shapely.affinity.rotate(ground, angle_deg, origin=(0, 0))
    rings = (turned.exterior, *turned.interiors)
    outer, *holes = ([(round(x, 3), round(y, 3)) for x, y in ring.coords] for ring in rings)
    return Polygon(outer, holes)


def test_turned_rectangle_in_millimetres_is_not_lost() -> None:
    """A rectangle of 60 × 40 m whose corners are rounded to millimetres is found whole."""
    corners = [(51.897, 30.111), (31.823, 64.709), (-20.074, 34.598), (0, 0)]
    piece = fit_largest(Polygon(corners))
    assert piece is not None
    assert (piece.length_m, piece.width_m) == pytest.approx((60, 40), abs=5e-3)


@given(
    st.integers(1500, 12000),
    st.integers(1500, 12000),
    st.floats(-180, 180),
    st.sampled_from([0, 1]),
)
@settings(max_examples=50, deadline=None)
def test_turned_rectangles_are_found_whole(
    length_cm: int, width_cm: int, angle_deg: float, notch: int
) -> None:
    """At any angle a rectangle, or one with a small bite in a corner, loses millimetres only."""
    length, width = length_cm / 100, width_cm / 100
    corners = [(1, 0), (length, 0), (length, width), (0, width), (0, 3), (1, 3)]
    ground = Polygon(corners) if notch else shapely.box(0, 0, length, width)
    truth = max((length - notch) * width, length * (width - 3 * notch))
    assert area_of(rounded(ground, angle_deg)) >= truth - 6e-3 * (length + width)


def best_box(cells: set[tuple[int, int]]) -> int:
    """Count the squares of the largest box of squares, by trying every box."""
    return max(
        a * b
        for x in range(5)
        for y in range(4)
        for a in range(1, 6 - x)
        for b in range(1, 5 - y)
        if all((x + i, y + j) in cells for i in range(a) for j in range(b))
    )


_CELLS = st.sets(st.tuples(st.integers(0, 4), st.integers(0, 3)), min_size=1, max_size=20)


@given(_CELLS)
@settings(max_examples=30, deadline=None)
def test_unit_squares_match_trying_everything(cells: set[tuple[int, int]]) -> None:
    """On ground made of unit squares the area is that of the best box of squares."""
    ground = shapely.union_all([shapely.box(x, y, x + 1, y + 1) for x, y in cells])
    if not isinstance(ground, Polygon):
        return
    assert area_of(ground) == pytest.approx(best_box(cells))


@given(_CELLS, st.floats(-180, 180), st.sampled_from([3.0, 7.31, 12.5]))
@settings(max_examples=40, deadline=None)
def test_turned_squares_in_millimetres_match_trying_everything(
    cells: set[tuple[int, int]], angle_deg: float, side: float
) -> None:
    """Ground made of squares, turned and rounded to millimetres, loses millimetres only."""
    boxes = [shapely.box(side * x, side * y, side * x + side, side * y + side) for x, y in cells]
    ground = shapely.union_all(boxes, grid_size=1e-6)
    if not isinstance(ground, Polygon):
        return
    turned = rounded(ground, angle_deg)
    if turned.is_valid:
        assert area_of(turned) >= best_box(cells) * side**2 - 6e-3 * 9 * side


def best_on_grid(ground: Polygon, angle_deg: float, step: float) -> float:
    """Find the largest rectangle in one direction whose grid of points lies on the ground."""
    turned = shapely.affinity.rotate(ground, -angle_deg, origin=(0, 0))
    x0, y0, x1, y1 = turned.bounds
    across, up = np.arange(x0 + 1e-3, x1, step), np.arange(y0 + 1e-3, y1, step)
    inside = np.asarray(shapely.contains_xy(turned, *np.meshgrid(across, up)))
    best = 0.0
    for low in range(len(up)):
        free = np.ones(len(across), dtype=bool)
        for high in range(low, len(up)):
            free &= inside[high]
            if not free.any():
                break
            turns = np.flatnonzero(np.diff(np.concatenate(([0], free, [0]))))
            widest = int((turns[1::2] - turns[::2]).max())
            best = max(best, (widest - 1) * (high - low) * step**2)
    return best


@pytest.mark.parametrize("angle_deg", [0.0, 13.7, 31.4, 77.7, 121.1])
@pytest.mark.parametrize("name", ["slanted", "triangle", "bitten"])
def test_slanted_ground_matches_trying_a_grid(name: str, angle_deg: float) -> None:
    """On slanted ground no grid of points along any edge shows a larger rectangle."""
    bite = [(0, 0), (40, 0), (40, 14), (55, 14), (55, 0), (100, 0), (85, 60), (20, 64)]
    ground = rounded(Polygon(bite) if name == "bitten" else AWKWARD[name], angle_deg)
    corners = list(ground.exterior.coords)
    angles = [
        math.degrees(math.atan2(y1 - y0, x1 - x0)) for (x0, y0), (x1, y1) in pairwise(corners)
    ]
    found = area_of(ground)
    assert all(found >= 0.998 * best_on_grid(ground, angle, 0.5) for angle in angles)


def test_triangle_and_disc_come_near_the_known_best() -> None:
    """Half of a right triangle, and a disc's square of 2 r², are reached within 0.5 %."""
    assert area_of(TRIANGLE) >= 0.995 * TRIANGLE.area / 2
    assert area_of(DISC) >= 0.985 * 2 * 30**2  # a 32-gon is a little smaller than its circle
    equilateral = Polygon([(0, 0), (50, 0), (25, 25 * math.sqrt(3))])
    assert area_of(equilateral) >= 0.995 * equilateral.area / 2


@pytest.mark.parametrize("aspect", [1.0, 1.5, 2.5])
def test_aspect_is_kept_either_way_round(aspect: float) -> None:
    """A fixed shape is kept, and lies whichever way it is larger."""
    piece = fit_largest(THIRD, aspect=aspect)
    assert piece is not None
    assert piece.length_m / piece.width_m == pytest.approx(aspect)
    assert piece.length_m == pytest.approx(min(64, 33.333 * aspect))
    turned = fit_largest(THIRD, aspect=1 / aspect)
    assert turned is not None
    assert turned.area_m2 == pytest.approx(piece.area_m2)


@pytest.mark.parametrize("name", sorted(AWKWARD))
def test_awkward_grounds_with_margin(name: str) -> None:
    """With a margin the rectangle keeps its distance, or there is none."""
    ground = AWKWARD[name]
    piece = fit_largest(ground, margin_m=1.0)
    if name == "sliver":
        assert piece is None
        return
    assert piece is not None
    assert piece.polygon.distance(ground.boundary) >= 1.0 - 2e-3


def test_empty_ground_and_absurd_numbers() -> None:
    """Empty ground holds none; a shape that is no shape is refused."""
    assert fit_largest(Polygon()) is None
    for bad in (0.0, -1.0, math.nan, math.inf, 100.0):
        with pytest.raises(ValueError, match="aspect"):
            fit_largest(THIRD, aspect=bad)
