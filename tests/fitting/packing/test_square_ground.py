"""Ground with square corners: every layout searched, against trying everything."""

from __future__ import annotations

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import MultiPolygon, Polygon

from clubplanner.fitting import fit_pieces
from clubplanner.fitting.outlines.square_search import square_question
from clubplanner.fitting.packing.square_ground import square_ground
from tests.fitting.shapes import (
    DISC,
    HALL,
    L_SHAPE,
    SLANTED,
    fault_in_layout,
    most_on_cells,
)

_CUTS = st.tuples(st.integers(0, 7), st.integers(0, 5), st.integers(1, 3), st.integers(1, 2))


def cells_of(
    size: tuple[int, int], cuts: list[tuple[int, int, int, int]]
) -> frozenset[tuple[int, int]]:
    """Cut rectangles out of a ground of unit squares."""
    cells = {(x, y) for x in range(size[0]) for y in range(size[1])}
    for x, y, along, across in cuts:
        cells -= {(i, j) for i in range(x, x + along) for j in range(y, y + across)}
    return frozenset(cells)


@given(
    st.tuples(st.integers(3, 8), st.integers(3, 6)),
    st.lists(_CUTS, min_size=1, max_size=4),
    st.tuples(st.integers(2, 5), st.integers(1, 4)),
)
@settings(max_examples=50, deadline=None)
def test_counts_match_trying_everything(
    size: tuple[int, int], cuts: list[tuple[int, int, int, int]], box: tuple[int, int]
) -> None:
    """Whatever is cut out of a small ground, the count is the true one, and proved."""
    cells = cells_of(size, cuts)
    if not 4 <= len(cells) <= 40:
        return
    ground = shapely.union_all([shapely.box(x, y, x + 1, y + 1) for x, y in cells])
    assert isinstance(ground, Polygon | MultiPolygon)
    if not ground.is_valid:
        return
    truth = most_on_cells(cells, *box)
    fit = fit_pieces(ground, *box, effort=50.0)
    assert (fit.count, fit.bound, fit.is_proved) == (truth, truth, True)
    assert fault_in_layout(fit.pieces, ground) is None
    smaller = fit_pieces(ground, box[0] - 0.5, box[1] - 0.5, gap_m=0.5, effort=50.0)
    assert smaller.count >= truth
    assert fault_in_layout(smaller.pieces, ground, 0.5) is None


@pytest.mark.parametrize("angle_deg", [0.0, 17.0, 45.0, 90.0, 163.0])
def test_turned_ground_holds_as_many(angle_deg: float) -> None:
    """An L holds 28 pieces of 12 × 8 m however it lies, and no more along its edges."""
    ground = shapely.affinity.rotate(L_SHAPE, angle_deg, origin=(0, 0))
    fit = fit_pieces(ground, 12, 8, effort=20.0)
    assert (fit.count, fit.is_proved) == (28, True)
    assert fault_in_layout(fit.pieces, ground) is None


def test_pillars_are_proved_while_a_person_waits() -> None:
    """In a hall with pillars five areas of 12 × 8 m are all there can be along the walls."""
    fit = fit_pieces(HALL, 12, 8)
    assert (fit.count, fit.bound, fit.is_proved) == (5, 5, True)
    assert fault_in_layout(fit.pieces, HALL) is None


def test_a_pillar_thinner_than_the_gap_is_not_built_over() -> None:
    """A post of 20 cm keeps its place though pieces stand 1 m apart."""
    post = shapely.box(10.4, 4.9, 10.6, 5.1)
    ground = shapely.difference(shapely.box(0, 0, 21, 10), post)
    assert isinstance(ground, Polygon)
    fit = fit_pieces(ground, 10, 10, gap_m=1.0, effort=20.0)
    assert fit.count == 2
    assert fault_in_layout(fit.pieces, ground, 1.0) is None
    middle = shapely.difference(shapely.box(0, 0, 20, 10), shapely.box(5, 4.9, 5.2, 5.1))
    assert isinstance(middle, Polygon)
    found = fit_pieces(middle, 10, 10, effort=20.0)
    assert (found.count, found.is_proved) == (1, True)
    assert fault_in_layout(found.pieces, middle) is None


@pytest.mark.parametrize("ground", [SLANTED, DISC])
def test_other_ground_is_told_apart(ground: Polygon) -> None:
    """Slanted and round ground is left to other methods."""
    assert square_ground([ground], (12, 8), 0.0) is None
    assert square_question([ground], (12, 8), 0.0) is None


def test_lines_through_the_ground_bound_the_count() -> None:
    """The foot of an L is 30 m wide: pieces of 20 m leave a third of every line empty."""
    question = square_question([L_SHAPE], (20, 20), 0.0)
    assert question is not None
    assert question.bound < L_SHAPE.area // 400
    assert fit_pieces(L_SHAPE, 20, 20).count <= question.bound


def test_a_short_search_claims_nothing() -> None:
    """Cut short, the search keeps what was laid before and proves nothing more."""
    question = square_question([L_SHAPE], (12, 8), 0.0)
    assert question is not None
    assert question.search(([], question.bound), question.bound, 3) == ([], question.bound)
