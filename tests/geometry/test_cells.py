"""Cells: areas share a cell exactly when they share ground."""

from __future__ import annotations

from itertools import combinations

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon

from clubplanner.geometry.cells import MOST_CELLS, TooManyCellsError, cells_of, find_cells
from clubplanner.geometry.cuts import cut_grid, cut_strips, lay_across
from clubplanner.geometry.shapes import (
    interior_overlap_m2,
    is_sliver,
    largest_part,
    rectangle,
)
from tests.strategies import l_shapes, rectangles, stars


def masks_of(areas: list[Polygon]) -> list[int]:
    """Return the areas' masks of their own cells."""
    cells = find_cells(areas)
    return [cells_of(area, cells) for area in areas]


def check_masks_meet_where_ground_is_shared(areas: list[Polygon]) -> None:
    """Compare every pair's masks with the ground they share."""
    masks = masks_of(areas)
    for (a, mask_a), (b, mask_b) in combinations(zip(areas, masks, strict=True), 2):
        shared = interior_overlap_m2(a, b)
        if largest_part(shapely.intersection(a, b)) is not None:
            assert mask_a & mask_b, f"{shared:.4f} m² shared, no cell in common"
        if mask_a & mask_b:
            assert shared > 0.0, "a cell in common, no ground shared"


@given(areas=st.lists(rectangles(), min_size=2, max_size=5))
def test_rectangles_meet_exactly_when_they_share_ground(areas: list[Polygon]) -> None:
    """On a half-metre grid nothing is a sliver, so the rule holds both ways without tolerance."""
    try:
        masks = masks_of(areas)
    except TooManyCellsError:
        return
    for (a, mask_a), (b, mask_b) in combinations(zip(areas, masks, strict=True), 2):
        assert bool(mask_a & mask_b) == (interior_overlap_m2(a, b) > 0.0)


@given(areas=st.lists(rectangles(step_m=0.04, extent_m=2), min_size=2, max_size=5))
def test_no_overlap_vanishes_among_slivers(areas: list[Polygon]) -> None:
    """However finely outlines lie side by side, shared ground that is no sliver is shared."""
    try:
        check_masks_meet_where_ground_is_shared(areas)
    except TooManyCellsError:
        return


@settings(max_examples=30)
@given(areas=st.lists(st.one_of(stars(), l_shapes()), min_size=2, max_size=4))
def test_slanted_and_l_shaped_areas_meet_when_they_share_ground(areas: list[Polygon]) -> None:
    """The rule holds for outlines at any slant, slivers set aside."""
    try:
        check_masks_meet_where_ground_is_shared(areas)
    except TooManyCellsError:
        return


@given(areas=st.lists(rectangles(), min_size=1, max_size=4))
def test_cells_make_up_the_ground_of_all_areas(areas: list[Polygon]) -> None:
    """Cells do not overlap, and together they are the areas; each area is its own cells."""
    cells = find_cells(areas)
    assert sum(cell.area for cell in cells) == pytest.approx(shapely.unary_union(areas).area)
    for area in areas:
        mask = cells_of(area, cells)
        own = [cell for n, cell in enumerate(cells) if mask >> n & 1]
        assert sum(cell.area for cell in own) == pytest.approx(area.area)


@given(areas=st.lists(rectangles(), min_size=1, max_size=4), extra=rectangles())
def test_adding_an_area_neither_makes_nor_loses_a_clash(
    areas: list[Polygon], extra: Polygon
) -> None:
    """Cells may split; whether two older areas meet stays as it was."""
    before, after = masks_of(areas), masks_of([*areas, extra])
    for one, other in combinations(range(len(areas)), 2):
        assert bool(before[one] & before[other]) == bool(after[one] & after[other])


def test_a_third_outline_does_not_hide_a_narrow_overlap() -> None:
    """Sixteen centimetres in common stay in common when a cut halves them lengthwise."""
    near, far = rectangle(0, 0, 50.08, 60), rectangle(49.92, 0, 50.08, 60)
    half = rectangle(0, 0, 50, 60)
    near_mask, far_mask, half_mask = masks_of([near, far, half])
    assert near_mask & far_mask
    assert near_mask & half_mask


def test_careless_tracing_is_no_overlap() -> None:
    """Two halves traced five centimetres over each other do not clash."""
    one, other = masks_of([rectangle(0, 0, 50.02, 60), rectangle(49.97, 0, 50.03, 60)])
    assert one
    assert other
    assert not one & other


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (rectangle(0, 0, 0.2, 0.28), rectangle(0, 0.04, 0.2, 0.2)),
        (rectangle(0, 0, 1.68, 0.6), rectangle(1.04, 0.48, 0.6, 0.12)),
        (rectangle(0, 0, 0.2, 0.44), rectangle(0, 0.24, 0.2, 0.2)),
    ],
    ids=["square", "strip", "square at an edge"],
)
def test_ground_of_exactly_ten_centimetres_is_shared(one: Polygon, other: Polygon) -> None:
    """Only what is narrower comes from tracing; how the overlap is computed does not decide."""
    for areas in ([one, other], [other, one]):
        first, second = masks_of(areas)
        assert first & second
    assert is_sliver(rectangle(0, 0, 0.6, 0.1199))


def test_halves_thirds_grid_and_small_pitches_cross() -> None:
    """Crossing cuts of one pitch clash exactly where their ground overlaps."""
    pitch = rectangle(0, 0, 100, 60)
    halves, thirds = cut_strips(pitch, 2), cut_strips(pitch, 3)
    grid, small = cut_grid(pitch, 2, 2), lay_across(pitch, 3, 40, 25)
    areas = [pitch, *halves, *thirds, *grid, *small]
    masks = masks_of(areas)
    for (a, mask_a), (b, mask_b) in combinations(zip(areas, masks, strict=True), 2):
        assert bool(mask_a & mask_b) == (interior_overlap_m2(a, b) > 0.1)
    whole, first_half, second_half, *rest = masks
    assert whole == first_half | second_half
    assert not first_half & second_half
    first, middle, last = rest[:3]
    assert middle & first_half
    assert middle & second_half
    assert not first & second_half
    assert not last & first_half


def test_areas_that_touch_share_no_cell() -> None:
    """Neighbours along an edge and at a corner are apart."""
    corners = masks_of(list(cut_grid(rectangle(0, 0, 100, 60), 2, 2)))
    assert sorted(corners) == [1, 2, 4, 8]


def test_ground_around_a_hole_and_ground_in_it_are_apart() -> None:
    """An area that fills the hole of another does not clash with it."""
    ring = Polygon(rectangle(0, 0, 30, 30).exterior, [rectangle(10, 10, 10, 10).exterior])
    inside = rectangle(10, 10, 10, 10)
    assert len(find_cells([ring])) == 1
    one, other = masks_of([ring, inside])
    assert not one & other


def test_cells_are_ordered_from_left_to_right_then_upwards() -> None:
    """The order does not depend on the order of the areas."""
    pieces = cut_grid(rectangle(0, 0, 100, 60), 2, 2)
    expected = [(0, 0), (0, 30), (50, 0), (50, 30)]
    for areas in (pieces, pieces[::-1]):
        assert [cell.bounds[:2] for cell in find_cells(areas)] == expected


def test_no_areas_have_no_cells() -> None:
    """Without areas there is nothing to cut."""
    assert find_cells([]) == ()


def test_a_sliver_alone_is_still_told_apart_as_nothing() -> None:
    """An area that is nothing but a sliver has no cells."""
    whole, strip = masks_of([rectangle(0, 0, 100, 60), rectangle(0, 0, 100, 0.05)])
    assert whole == 1
    assert strip == 0


def test_sixty_three_pieces_can_be_kept_apart_and_one_more_cannot() -> None:
    """Seven by nine is the most; eight by eight says what to leave out."""
    pitch = rectangle(0, 0, 126, 72)
    masks = masks_of(list(cut_grid(pitch, 7, 9)))
    assert len(set(masks)) == MOST_CELLS
    assert max(masks) == 1 << 62
    with pytest.raises(TooManyCellsError, match="64 pieces, at most 63") as refusal:
        find_cells(cut_grid(pitch, 8, 8))
    assert refusal.value.pieces == 64


def in_steps(x: int, y: int, length: int, width: int) -> Polygon:
    """Return a rectangle in steps of 4 cm, so that outlines lie a sliver apart."""
    return rectangle(x * 0.04, y * 0.04, length * 0.04, width * 0.04)


@pytest.mark.parametrize(
    "steps",
    [
        [(8, 6, 10, 31), (6, 4, 4, 34), (0, 5, 6, 39)],
        [(11, 2, 12, 36), (9, 6, 10, 34), (9, 3, 4, 25)],
        [(6, 1, 7, 40), (0, 5, 11, 30), (9, 3, 6, 34)],
        [(3, 5, 4, 23), (5, 1, 13, 37), (1, 5, 5, 40)],
    ],
)
def test_a_sliver_kept_for_two_areas_draws_in_no_third(steps: list[tuple[int, ...]]) -> None:
    """Of the slivers that would do the one is kept that the fewest others reach over."""
    areas = [in_steps(*corner_and_size) for corner_and_size in steps]
    masks = masks_of(areas)
    for (a, mask_a), (b, mask_b) in combinations(zip(areas, masks, strict=True), 2):
        is_shared = largest_part(shapely.intersection(a, b)) is not None
        assert bool(mask_a & mask_b) == is_shared


def test_no_more_slivers_are_kept_than_are_needed() -> None:
    """Cells are few: one sliver that two pairs of areas have in common serves both."""
    areas = [in_steps(6, 1, 7, 40), in_steps(0, 5, 11, 30), in_steps(9, 3, 6, 34)]
    slivers = [cell for cell in find_cells(areas) if is_sliver(cell)]
    assert len(slivers) == 1


def test_corners_of_cells_lie_on_whole_millimetres() -> None:
    """Where slanted outlines cross, too: cells that meet have the same corner, not nearly."""
    slanted = [Polygon([(0, 0), (31, 7), (29, 18), (1, 11)]), Polygon([(3, 17), (9, 2), (21, 23)])]
    corners = shapely.get_coordinates(find_cells(slanted))
    assert abs(corners - corners.round(3)).max() < 1e-9


@pytest.mark.parametrize(("columns", "rows"), [(4, 2), (2, 4)])
def test_narrow_cells_are_ordered_too(columns: int, rows: int) -> None:
    """Cells less than a metre wide lie from left to right and upwards like all others."""
    pieces = cut_grid(rectangle(0, 0, columns * 0.4, rows * 0.4), columns, rows)
    for areas in (pieces, pieces[::-1]):
        starts = [tuple(round(v, 3) for v in cell.bounds[:2]) for cell in find_cells(areas)]
        assert starts == sorted(starts)
