"""The largest rectangle on a ground."""

from __future__ import annotations

import math

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


@given(st.sets(st.tuples(st.integers(0, 4), st.integers(0, 3)), min_size=1, max_size=20))
@settings(max_examples=60, deadline=None)
def test_unit_squares_match_trying_everything(cells: set[tuple[int, int]]) -> None:
    """On ground made of unit squares the area is that of the best box of squares."""
    ground = shapely.union_all([shapely.box(x, y, x + 1, y + 1) for x, y in cells])
    if not isinstance(ground, Polygon):
        return
    truth = max(
        a * b
        for x in range(5)
        for y in range(4)
        for a in range(1, 6 - x)
        for b in range(1, 5 - y)
        if all((x + i, y + j) in cells for i in range(a) for j in range(b))
    )
    assert area_of(ground) == pytest.approx(truth)


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
