"""Strips, grids and smaller pitches lying across."""

from __future__ import annotations

from itertools import combinations

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import Polygon

from clubplanner.geometry.cuts import cut_grid, cut_strips, lay_across
from clubplanner.geometry.shapes import interior_overlap_m2, rectangle
from tests.strategies import pitch_outlines

HALL = Polygon([(0, 0), (40, 0), (40, 12), (22, 12), (22, 25), (0, 25)])


def shared_m2(pieces: tuple[Polygon, ...]) -> float:
    """Return the ground any two of the pieces have in common."""
    return sum(interior_overlap_m2(a, b) for a, b in combinations(pieces, 2))


@given(pitch=pitch_outlines(), columns=st.integers(1, 5), rows=st.integers(1, 4))
def test_a_grid_covers_the_pitch_without_overlap(pitch: Polygon, columns: int, rows: int) -> None:
    """The pieces of a rectangle make it up again and share nothing."""
    pieces = cut_grid(pitch, columns, rows)
    assert len(pieces) == columns * rows
    assert shared_m2(pieces) == 0.0
    assert shapely.symmetric_difference(shapely.unary_union(pieces), pitch).area < 1e-6
    equal = pitch.area / len(pieces)
    for piece in pieces:
        assert piece.area == pytest.approx(equal, abs=0.2)  # cut lines are held to a millimetre


@given(angle=st.floats(0, 90), count=st.integers(1, 5))
def test_strips_of_a_slanted_outline_cover_it_without_overlap(angle: float, count: int) -> None:
    """A convex outline that does not lie level is cut without loss beyond its millimetre."""
    pitch = shapely.affinity.rotate(rectangle(0, 0, 80, 50), angle, origin=(0, 0))
    pieces = cut_strips(pitch, count)
    assert shared_m2(pieces) < 0.2
    assert sum(piece.area for piece in pieces) == pytest.approx(pitch.area, abs=0.5)


def test_strips_run_from_the_start() -> None:
    """The first strip lies at x = 0, the last at full length."""
    thirds = cut_strips(rectangle(0, 0, 90, 60), 3)
    assert [piece.bounds for piece in thirds] == [
        (0, 0, 30, 60),
        (30, 0, 60, 60),
        (60, 0, 90, 60),
    ]


def test_a_length_that_does_not_divide_is_cut_at_one_millimetre() -> None:
    """Thirds of 100 m meet at 33.333 and 66.667 m, with no gap and nothing shared."""
    thirds = cut_strips(rectangle(0, 0, 100, 60), 3)
    assert [round(piece.bounds[2], 6) for piece in thirds] == [33.333, 66.667, 100.0]
    assert [round(piece.bounds[0], 6) for piece in thirds] == [0.0, 33.333, 66.667]


def test_a_hole_is_kept() -> None:
    """Ground that cannot be used is in no strip."""
    pitch = Polygon(rectangle(0, 0, 40, 20).exterior, [rectangle(5, 5, 4, 4).exterior])
    halves = cut_strips(pitch, 2)
    assert [piece.area for piece in halves] == [pytest.approx(384.0), pytest.approx(400.0)]
    assert len(halves[0].interiors) == 1


def test_an_l_shaped_hall_leaves_out_the_empty_corner() -> None:
    """A grid box without ground gives no piece; the others make up the hall."""
    pieces = cut_grid(Polygon([(0, 0), (40, 0), (40, 10), (20, 10), (20, 20), (0, 20)]), 2, 2)
    assert len(pieces) == 3
    assert sum(piece.area for piece in pieces) == pytest.approx(600.0)
    assert sum(piece.area for piece in cut_grid(HALL, 3, 2)) == pytest.approx(HALL.area)


def test_of_a_strip_that_falls_apart_the_largest_part_is_kept() -> None:
    """Between the legs of a U only the wider leg counts."""
    u_shape = Polygon([(0, 0), (30, 0), (30, 8), (10, 8), (10, 15), (30, 15), (30, 20), (0, 20)])
    _, far = cut_strips(u_shape, 2)
    assert far.bounds == (15, 0, 30, 8)


@pytest.mark.parametrize(("columns", "rows"), [(0, 1), (1, 0), (-2, 1)])
def test_fewer_than_one_piece_is_refused(columns: int, rows: int) -> None:
    """A cut into nothing says what to give instead."""
    with pytest.raises(ValueError, match="1 piece or more"):
        cut_grid(rectangle(0, 0, 40, 20), columns, rows)
    with pytest.raises(ValueError, match="1 piece or more"):
        cut_strips(rectangle(0, 0, 40, 20), 0)


def test_smaller_pitches_lie_across_in_the_middle_of_equal_slots() -> None:
    """Two pitches of 50 × 35 m across a pitch of 100 × 60 m are centred each way."""
    first, second = lay_across(rectangle(0, 0, 100, 60), 2, 50, 35)
    assert first.bounds == (7.5, 5, 42.5, 55)
    assert second.bounds == (57.5, 5, 92.5, 55)
    (along,) = lay_across(rectangle(0, 0, 100, 60), 1, 60, 40, across=False)
    assert along.bounds == (20, 10, 80, 50)


def test_smaller_pitches_may_reach_over_the_outline_and_each_other() -> None:
    """What does not fit is laid all the same, for the caller to judge."""
    first, second = lay_across(rectangle(0, 0, 60, 40), 2, 50, 40)
    assert first.bounds == (-5, -5, 35, 45)
    assert interior_overlap_m2(first, second) == pytest.approx(10 * 50)


@pytest.mark.parametrize("count", [0, -1])
def test_fewer_than_one_smaller_pitch_is_refused(count: int) -> None:
    """A count below one says what to give instead."""
    with pytest.raises(ValueError, match="Lay 1 pitch or more"):
        lay_across(rectangle(0, 0, 100, 60), count, 50, 35)


def test_a_pitch_may_lie_anywhere_in_its_frame() -> None:
    """Pieces and smaller pitches lie on the pitch, also where its corner is not the origin."""
    pitch = rectangle(10, 20, 90, 60)
    pieces = cut_grid(pitch, 3, 2)
    assert [piece.bounds for piece in pieces[:2]] == [(10, 20, 40, 50), (10, 50, 40, 80)]
    assert pieces[-1].bounds == (70, 50, 100, 80)
    first, second = lay_across(pitch, 2, 50, 35)
    assert first.bounds == (15, 25, 50, 75)
    assert second.bounds == (60, 25, 95, 75)
