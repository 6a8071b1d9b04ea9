"""Equal pieces on any ground."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import MultiPolygon, Polygon

from clubplanner.fitting import Piece, fit_pieces
from clubplanner.geometry.shapes import as_polygon
from tests.fitting.shapes import (
    AWKWARD,
    HALL,
    L_SHAPE,
    SLIVER,
    THIRD,
    fault_in_layout,
    most_on_cells,
)


def test_piece_turns_about_its_corner() -> None:
    """A piece turned by a quarter lies to the left of its corner."""
    piece = Piece(10, 5, 4, 2, 90)
    assert piece.corners == ((10, 5), (10, 9), (8, 9), (8, 5))
    assert piece.polygon.bounds == (8, 5, 10, 9)
    assert piece.area_m2 == 8


@pytest.mark.parametrize(("gap_m", "count"), [(0.0, 3), (2.0, 3), (3.0, 2), (24.0, 2), (25.0, 1)])
def test_practice_areas_on_a_third(gap_m: float, count: int) -> None:
    """Two practice areas of 30 × 20 m lie on a third with 3 m between them, three with 2 m."""
    fit = fit_pieces(THIRD, 30, 20, gap_m=gap_m)
    assert (fit.count, fit.bound, fit.is_proved) == (count, count, True)
    assert fault_in_layout(fit.pieces, THIRD, gap_m) is None


def test_margin_keeps_pieces_off_the_edge() -> None:
    """With a margin of 2 m only the ground within counts."""
    assert fit_pieces(THIRD, 30, 20).count == 3
    assert fit_pieces(THIRD, 30, 20, margin_m=2.0).count == 2
    fit = fit_pieces(THIRD, 20, 29, margin_m=2.0)
    assert fit.count == 3
    inner = shapely.box(2, 2, 31.333, 62)
    assert fault_in_layout(fit.pieces, inner) is None


def test_thirds_of_a_pitch_fit_on_it() -> None:
    """Three pieces of a third's length fit though a third is no whole number of millimetres."""
    assert fit_pieces(shapely.box(0, 0, 100, 64), 100 / 3, 64).count == 3


@given(st.floats(-180, 180), st.floats(-50, 50))
@settings(max_examples=40, deadline=None)
def test_turned_rectangle_holds_as_many(angle_deg: float, shift_m: float) -> None:
    """A rectangle holds as many pieces however it lies, and the proof is kept."""
    turned = shapely.affinity.rotate(shapely.box(0, 0, 40, 31), angle_deg)
    turned = shapely.affinity.translate(turned, shift_m, -shift_m)
    fit = fit_pieces(turned, 9, 6, gap_m=1.0)
    assert (fit.count, fit.is_proved) == (
        fit_pieces(shapely.box(0, 0, 40, 31), 9, 6, gap_m=1).count,
        True,
    )
    assert fault_in_layout(fit.pieces, turned, 1.0) is None


@pytest.mark.parametrize("name", sorted(AWKWARD))
@pytest.mark.parametrize(("size", "gap_m"), [((12.0, 8.0), 0.0), ((10.0, 5.0), 2.0)])
def test_awkward_grounds(name: str, size: tuple[float, float], gap_m: float) -> None:
    """On awkward grounds every piece lies inside and apart, and the bound holds."""
    fit = fit_pieces(AWKWARD[name], *size, gap_m=gap_m)
    assert fault_in_layout(fit.pieces, AWKWARD[name], gap_m) is None
    assert fit.count <= fit.bound
    assert fit.count > 0 or name == "sliver"


def metres(most: float) -> st.SearchStrategy[float]:
    """Lengths from 0 up to a most, to the thousandth of a millimetre."""
    return st.floats(0, most).map(lambda value: round(value, 6))


@pytest.mark.parametrize("margin_m", [0.0, 1.0])
def test_corners_next_to_nothing_apart(margin_m: float) -> None:
    """Two corners 1e-38 m apart are one corner, and nothing is computed from their distance."""
    corners = [(0.0, 0.0), (20.0, 20.0), (40.0, 0.0), (1.401298464324817e-45, 1.175494351e-38)]
    ground = as_polygon(shapely.convex_hull(shapely.multipoints(corners)))
    fit = fit_pieces(ground, 4, 3, margin_m=margin_m)
    plain = fit_pieces(Polygon([(0, 0), (20, 20), (40, 0)]), 4, 3, margin_m=margin_m)
    assert (fit.count, fit.bound) == (plain.count, plain.bound)
    assert fit.count > 0


@given(
    st.lists(st.tuples(metres(80), metres(60)), min_size=3, max_size=7, unique=True),
    st.floats(4, 25),
    st.floats(3, 15),
    st.sampled_from([0.0, 1.5, 3.0]),
    st.sampled_from([0.0, 1.0]),
)
@settings(max_examples=30, deadline=None)
def test_any_ground(
    points: list[tuple[float, float]],
    length_m: float,
    width_m: float,
    gap_m: float,
    margin_m: float,
) -> None:
    """Whatever the outline, pieces lie inside and apart, and the bound holds."""
    hull = MultiPolygon([]) if len(points) < 3 else shapely.convex_hull(shapely.multipoints(points))
    if not isinstance(hull, Polygon):
        return
    hole = shapely.box(20, 20, 24, 26)
    ground = shapely.difference(hull, hole)
    if not isinstance(ground, Polygon) or ground.area < 1:
        return
    fit = fit_pieces(ground, length_m, width_m, gap_m=gap_m, margin_m=margin_m)
    assert fault_in_layout(fit.pieces, ground, gap_m) is None
    assert fit.count <= fit.bound
    inner = shapely.buffer(ground, 2e-3 - margin_m, join_style="mitre", mitre_limit=10)
    assert all(inner.covers(piece.polygon) for piece in fit.pieces)


@pytest.mark.parametrize(
    ("notch", "size"),
    [((3, 3), (3, 2)), ((4, 2), (3, 2)), ((2, 4), (4, 2)), ((3, 4), (3, 1)), ((1, 1), (4, 1))],
)
def test_small_l_shapes_match_trying_everything(
    notch: tuple[int, int], size: tuple[int, int]
) -> None:
    """On small L-shapes of whole metres the count is the true one."""
    cells = frozenset(
        (x, y) for x in range(7) for y in range(6) if x < 7 - notch[0] or y < 6 - notch[1]
    )
    ground = shapely.union_all([shapely.box(x, y, x + 1, y + 1) for x, y in cells])
    assert isinstance(ground, Polygon)
    truth = most_on_cells(cells, *size)
    fit = fit_pieces(ground, *size)
    assert fit.count == truth
    assert truth <= fit.bound


def test_known_counts_on_an_l_shape_and_in_a_hall() -> None:
    """Two by two areas stand in an L; pillars in the middle leave strips above and below."""
    assert fit_pieces(L_SHAPE, 30, 20).count == 4
    assert fit_pieces(HALL, 33, 8).count == 2


def test_separate_grounds_keep_the_gap_between_them() -> None:
    """Two grounds 1 m apart hold one piece each, and one in all where 3 m are asked for."""
    two = MultiPolygon([shapely.box(0, 0, 10, 10), shapely.box(11, 0, 21, 10)])
    assert fit_pieces(two, 10, 10).count == 2
    assert fit_pieces(two, 10, 10, gap_m=3).count == 1


def test_nothing_fits_on_tiny_empty_or_thin_ground() -> None:
    """Ground too small, too thin or empty holds nothing, and that is proved."""
    for ground in (shapely.box(0, 0, 1, 1), Polygon(), SLIVER):
        fit = fit_pieces(ground, 10, 5)
        assert (fit.pieces, fit.bound, fit.is_proved) == ((), 0, True)


@pytest.mark.parametrize("bad", [0.0, -1.0, math.nan, math.inf, 5000.0])
def test_lengths_that_cannot_be_meant_are_refused(bad: float) -> None:
    """A length that is not a number, not positive or absurd is refused by name."""
    with pytest.raises(ValueError, match="length_m"):
        fit_pieces(THIRD, bad, 20)
    with pytest.raises(ValueError, match="width_m"):
        fit_pieces(THIRD, 30, bad)


def test_gap_and_margin_may_be_zero_but_not_less() -> None:
    """A negative gap or margin is refused."""
    with pytest.raises(ValueError, match="gap_m"):
        fit_pieces(THIRD, 30, 20, gap_m=-0.5)
    with pytest.raises(ValueError, match="margin_m"):
        fit_pieces(THIRD, 30, 20, margin_m=-0.5)


def test_absurd_grounds_and_counts_are_refused() -> None:
    """Ground given in feet or degrees, or pieces given in kilometres, are told apart."""
    with pytest.raises(ValueError, match="at most 2000 m"):
        fit_pieces(shapely.box(0, 0, 3000, 50), 30, 20)
    with pytest.raises(ValueError, match="More than 20000"):
        fit_pieces(shapely.box(0, 0, 500, 500), 0.3, 0.2)
    bow = Polygon([(0, 0), (10, 10), (10, 0), (0, 10)])
    with pytest.raises(ValueError, match="without crossings"):
        fit_pieces(bow, 3, 2)


def test_very_many_pieces_on_a_curve_are_stacked_quickly() -> None:
    """On a large disc rows are stacked, and reach nine tenths of what the area allows."""
    disc = shapely.Point(0, 0).buffer(120, quad_segs=8)
    fit = fit_pieces(disc, 8, 6)
    assert fit.count >= 0.9 * fit.bound
    assert fit_pieces(disc, 8, 6).pieces == fit.pieces
    reach = shapely.buffer(disc, 2e-3)
    assert all(reach.covers(piece.polygon) for piece in fit.pieces)


def test_more_than_the_bound_allows_are_not_looked_for() -> None:
    """Asked for more pieces than can be, nothing is placed and the bound still tells why."""
    for ground in (THIRD, L_SHAPE):
        fit = fit_pieces(ground, 30, 20, enough=50)
        assert fit.count == 0
        assert 0 < fit.bound < 50
        assert not fit.is_proved


def test_a_bound_for_turned_pieces_admits_five_squares() -> None:
    """Five squares of 10 m, one at 45°, lie on 27.1 × 27.1 m: a bound of four is for edges only.

    Source: F. Göbel, Geometrical packing and covering problems, 1979: 2 + 1/√2 (from memory).
    """
    side = 27.1
    ground = shapely.box(0, 0, side, side)
    far = side - 10
    five = [Piece(x, y, 10, 10, 0) for x in (0, far) for y in (0, far)]
    five.append(Piece(side / 2, side / 2 - 5 * math.sqrt(2), 10, 10, 45))
    assert fault_in_layout(five, ground) is None
    fit = fit_pieces(ground, 10, 10)
    assert (fit.count, fit.bound, fit.is_proved, fit.holds_turned) == (4, 4, True, False)
    assert fit.turned_bound >= 5


@given(
    st.integers(10, 60),
    st.integers(10, 60),
    st.integers(3, 12),
    st.integers(3, 12),
    st.sampled_from([0.0, 1.0, 3.0]),
    st.floats(0, 90),
)
@settings(max_examples=40, deadline=None)
def test_no_turned_layout_breaks_its_bound(
    long: int, wide: int, length: int, width: int, gap_m: float, angle_deg: float
) -> None:
    """Rows of pieces at any slant on a rectangle stay within the bound for turned pieces."""
    ground = shapely.box(0, 0, long, wide)
    fit = fit_pieces(ground, length, width, gap_m=gap_m)
    assert fit.count <= fit.bound <= fit.turned_bound
    frame = shapely.affinity.rotate(ground, -angle_deg, origin=(0, 0))
    x0, y0, x1, y1 = frame.bounds
    boxes = [
        shapely.box(x, y, x + length, y + width)
        for x in np.arange(x0, x1, length + gap_m)
        for y in np.arange(y0, y1, width + gap_m)
    ]
    assert sum(frame.covers(box) for box in boxes) <= fit.turned_bound
