"""Clean polygons, slivers, overlap."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import GeometryCollection, LineString, MultiPolygon, Point, Polygon

from clubplanner.geometry.shapes import (
    NODING_GRID_M,
    as_polygon,
    explain_fault,
    interior_overlap_m2,
    is_sliver,
    largest_part,
    longest_axis_deg,
    polygon_parts,
    rectangle,
    square_up,
)
from tests.strategies import rectangles, stars

INF = math.inf


@pytest.mark.parametrize(
    ("polygon", "words"),
    [
        (Polygon(), "at least three corners"),
        (Polygon([(0, 0), (INF, 1), (2, 2)]), "not a number"),
        (Polygon([(0, 0), (1, 1), (2, 2)]), "encloses no ground"),
        (Polygon([(3, 3), (3, 3), (3, 3)]), "encloses no ground"),
        (shapely.box(0, 0, 1e-200, 1e-200), "encloses no ground"),
        (Polygon([(0, 0), (9, 9), (9, 0), (0, 9)]), "crosses itself"),
        (Polygon([(0, 0), (4, 0), (4, 4), (2, 0), (0, 4)]), "crosses itself"),
        (Polygon([(0, 0), (9, 0), (9, 9)], [[(20, 20), (21, 20), (21, 21)]]), "hole lies outside"),
    ],
)
def test_a_faulty_outline_is_explained(polygon: Polygon, words: str) -> None:
    """Every kind of faulty outline gets a sentence that says what is wrong."""
    fault = explain_fault(polygon)
    assert fault is not None
    assert words in fault


@pytest.mark.parametrize(
    "polygon",
    [
        rectangle(0, 0, 100, 60),
        Polygon([(0, 0), (30, 0), (30, 10), (12, 10), (12, 25), (0, 25)]),
        Polygon(rectangle(0, 0, 40, 20).exterior, [rectangle(10, 5, 2, 2).exterior]),
        Polygon([(0, 0), (0, 20), (40, 20), (40, 0)]),
    ],
    ids=["rectangle", "L", "hole", "clockwise"],
)
def test_a_good_outline_has_no_fault(polygon: Polygon) -> None:
    """L-shapes, holes and corners given clockwise are all good."""
    assert explain_fault(polygon) is None


@pytest.mark.parametrize(
    "other",
    [rectangle(10, 0, 10, 10), rectangle(10, 10, 5, 5), rectangle(30, 30, 5, 5)],
    ids=["edge", "corner", "apart"],
)
def test_areas_that_only_touch_share_nothing(other: Polygon) -> None:
    """An edge or a corner in common is no shared ground."""
    assert interior_overlap_m2(rectangle(0, 0, 10, 10), other) == 0.0


def test_ground_in_a_hole_is_not_shared() -> None:
    """A piece that lies in the hole of another shares nothing with it."""
    ring = Polygon(rectangle(0, 0, 30, 30).exterior, [rectangle(10, 10, 10, 10).exterior])
    assert interior_overlap_m2(ring, rectangle(10, 10, 10, 10)) == 0.0
    assert interior_overlap_m2(ring, rectangle(5, 10, 10, 10)) == pytest.approx(50.0)


@given(a=stars(), b=rectangles())
def test_overlap_is_symmetric_and_at_most_the_smaller(a: Polygon, b: Polygon) -> None:
    """Shared ground is the same from both sides and fits in either."""
    shared = interior_overlap_m2(a, b)
    noise_m2 = NODING_GRID_M * (a.length + b.length)
    assert shared == pytest.approx(interior_overlap_m2(b, a), abs=noise_m2)
    assert 0.0 <= shared <= min(a.area, b.area) + noise_m2
    assert interior_overlap_m2(a, a) == pytest.approx(a.area, abs=noise_m2)


@pytest.mark.parametrize(
    ("polygon", "expected"),
    [
        (rectangle(0, 0, 60, 0.05), True),
        (rectangle(0, 0, 60, 0.09), True),
        (rectangle(0, 0, 60, 0.11), False),
        (rectangle(0, 0, 0.15, 0.15), True),
        (rectangle(0, 0, 0.25, 0.25), False),
        (Polygon([(0, 0), (60, 0), (60, 0.15)]), True),
        (Polygon(), False),
    ],
)
def test_a_sliver_is_narrower_than_ten_centimetres(polygon: Polygon, expected: bool) -> None:
    """Strips are told by their width, wedges by their mean width, scraps by half their width."""
    assert is_sliver(polygon) is expected


def test_parts_leave_out_lines_points_and_slivers() -> None:
    """Only ground worth standing on is a part, however deep it is nested."""
    big, small = rectangle(0, 0, 10, 10), rectangle(20, 0, 5, 5)
    mixed = GeometryCollection(
        [
            MultiPolygon([big, small]),
            rectangle(40, 0, 60, 0.01),
            LineString([(0, 0), (9, 9)]),
            Point(1, 1),
            Polygon(),
        ]
    )
    assert polygon_parts(mixed) == (big, small)
    assert largest_part(mixed) == big
    assert polygon_parts(big) == (big,)
    assert polygon_parts(Point(0, 0)) == ()
    assert largest_part(LineString([(0, 0), (1, 1)])) is None


@given(
    angle=st.floats(0, 180),
    length=st.floats(30, 120),
    ratio=st.floats(0.1, 0.9),
)
def test_the_longest_axis_is_that_of_the_longer_side(
    angle: float, length: float, ratio: float
) -> None:
    """A turned rectangle's axis is the angle it was turned by, from 0 up to below 180."""
    turned = shapely.affinity.rotate(rectangle(0, 0, length, length * ratio), angle)
    found = longest_axis_deg(turned)
    assert 0.0 <= found < 180.0
    away = abs(found - angle) % 180.0
    assert min(away, 180.0 - away) < 1e-6


@pytest.mark.parametrize("turn_deg", [-1e-10, -1e-12, 1e-12, 180 - 1e-12, 360 - 1e-12])
def test_an_axis_a_hair_below_zero_is_zero(turn_deg: float) -> None:
    """Rounding noise does not turn the axis the other way round."""
    angle = math.radians(turn_deg)
    u, v = (math.cos(angle), math.sin(angle)), (-math.sin(angle), math.cos(angle))
    corners = [
        (100 * a * u[0] + 60 * b * v[0], 100 * a * u[1] + 60 * b * v[1])
        for a, b in ((0, 0), (1, 0), (1, 1), (0, 1))
    ]
    assert longest_axis_deg(Polygon(corners)) == 0.0


def test_a_rectangle_traced_by_hand_is_squared_up() -> None:
    """Four corners up to 60 cm off become the rectangle through their means, to the centimetre."""
    traced = Polygon([(0.2, 0.0), (100.0, 0.3), (99.7, 60.2), (0.0, 60.0)])
    assert square_up(traced).bounds == (0, 0, 99.75, 59.95)
    assert square_up(square_up(traced)).equals(square_up(traced))


@pytest.mark.parametrize(
    "outline",
    [
        Polygon([(0, 0), (100, 0), (98, 60), (0, 60)]),
        Polygon([(0, 0), (100, 0), (0, 60)]),
        Polygon([(0, 0), (40, 0), (40, 12), (22, 12), (22, 25), (0, 25)]),
        Polygon([(50, 0), (100, 30), (50, 60), (0, 30)]),
    ],
    ids=["slanted side", "triangle", "L", "diamond"],
)
def test_an_outline_that_is_no_rectangle_is_kept(outline: Polygon) -> None:
    """A corner further off than tracing explains, or another number of corners, is meant so."""
    assert square_up(outline) is outline


def test_squaring_up_keeps_holes() -> None:
    """Ground that cannot be used stays where it was."""
    hole = rectangle(10, 10, 4, 3)
    wobbly = Polygon([(0.0, 0.1), (50.0, 0.0), (50.2, 30.0), (0.1, 30.1)])
    squared = square_up(Polygon(wobbly.exterior, [hole.exterior]))
    assert len(squared.interiors) == 1
    assert Polygon(squared.interiors[0]).equals(hole)
    assert squared.bounds == (0, 0, 50.05, 30.0)


def test_turned_rectangles_that_touch_share_nothing() -> None:
    """Two turned rectangles with a common edge do not overlap, whatever their last digits say."""
    a = Polygon(
        [
            (-2.7173992438514323, -10.62037480116567),
            (-4.184703988405049, -0.7286097015178612),
            (-12.098116068123296, -1.9024534971607543),
            (-10.63081132356968, -11.794218596808564),
        ]
    )
    b = Polygon(
        [
            (-10.63081132356968, -11.794218596808564),
            (-12.098116068123296, -1.9024534971607547),
            (-20.011528147841545, -3.076297292803648),
            (-18.54422340328793, -12.968062392451458),
        ]
    )
    assert interior_overlap_m2(a, b) == 0.0


def test_a_corner_sixty_centimetres_off_is_still_tracing_and_ninety_are_meant() -> None:
    """Where the line is drawn: 0.6 m, itself included."""

    def outline(off_m: float) -> Polygon:
        return Polygon([(off_m, 0), (100, 0), (100, 60), (0, 60)])

    assert square_up(outline(0.6)).bounds == (0, 0, 99.7, 60)
    assert square_up(outline(0.9)) == outline(0.9)
    assert len(square_up(outline(0.6)).exterior.coords) == 5


def test_a_triangle_with_a_corner_traced_twice_is_no_rectangle() -> None:
    """Four corners near a rectangle's are not enough when one of its corners has none."""
    triangle = Polygon([(0, 0), (100, 0), (100, 0.5), (0, 60)])
    assert square_up(triangle) is triangle


def test_a_squared_up_rectangle_is_whole_centimetres() -> None:
    """Nobody traces to the millimetre, so none are shown."""
    traced = Polygon([(0, 0), (100.004, 0), (100.003, 60.004), (0, 60.003)])
    assert square_up(traced).bounds == (0, 0, 100.0, 60.0)


def test_two_pieces_are_not_one_polygon() -> None:
    """A mistake of ours comes out at once, not as ground that is half missing."""
    two = MultiPolygon([rectangle(0, 0, 1, 1), rectangle(5, 5, 1, 1)])
    with pytest.raises(TypeError, match="MultiPolygon"):
        as_polygon(two)
    assert as_polygon(Polygon()).is_empty


def test_a_small_outline_is_no_fault() -> None:
    """Half a square metre is little ground, but ground."""
    assert explain_fault(rectangle(0, 0, 1, 0.5)) is None


def test_a_fault_is_told_without_coordinates() -> None:
    """The library's own note of where it is would be read as degrees or metres by chance."""
    outside = Polygon(rectangle(0, 0, 9, 9).exterior, [rectangle(20, 20, 1, 1).exterior])
    fault = explain_fault(outside)
    assert fault is not None
    assert fault.endswith("(hole lies outside shell)")
