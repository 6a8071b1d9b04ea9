"""From degrees to metres and back."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import Polygon

from clubplanner.geometry.frame import (
    COMPASS,
    Frame,
    angle_between_deg,
    compass_point,
    frame_polygon,
    metres_per_degree,
)
from clubplanner.geometry.shapes import rectangle
from tests.strategies import frames, metres

MILLIMETRE = 0.001


@given(frame=frames(), x_m=metres(-300, 300), y_m=metres(-300, 300))
def test_there_and_back_is_the_same_millimetre(frame: Frame, x_m: float, y_m: float) -> None:
    """Metres to degrees to metres loses less than a millimetre, the date line included."""
    lon, lat = frame.lonlat_from_local(x_m, y_m)
    assert -180.0 <= lon <= 180.0
    assert math.dist(frame.local_from_lonlat(lon, lat), (x_m, y_m)) < MILLIMETRE


@pytest.mark.parametrize(
    ("bearing_deg", "east_m", "north_m"),
    [(0.0, 0, 10), (90.0, 10, 0), (180.0, 0, -10), (270.0, -10, 0)],
)
def test_x_points_along_the_bearing(bearing_deg: float, east_m: float, north_m: float) -> None:
    """Ten metres along x lie ten metres in the direction of the bearing."""
    lon, lat = Frame(7.0, 50.0, bearing_deg).lonlat_from_local(10.0, 0.0)
    per_lon, per_lat = metres_per_degree(50.0)
    assert (lon - 7.0) * per_lon == pytest.approx(east_m, abs=MILLIMETRE)
    assert (lat - 50.0) * per_lat == pytest.approx(north_m, abs=MILLIMETRE)


def test_y_is_to_the_left_of_x() -> None:
    """With x towards the east, y goes north: the axes are right-handed."""
    frame = Frame(7.0, 50.0, 90.0)
    _, y = frame.local_from_lonlat(7.0, 50.001)
    assert y > 100


@given(frame=frames())
def test_a_polygon_keeps_its_area_and_holes(frame: Frame) -> None:
    """A pitch with a hole comes back from degrees with the same ground and the same hole."""
    pitch = Polygon(rectangle(0, 0, 90, 45).exterior, [rectangle(30, 20, 4, 3).exterior])
    back = frame.local_polygon(frame.lonlat_polygon(pitch))
    assert back.area == pytest.approx(pitch.area, abs=0.05)
    assert len(back.interiors) == 1
    assert back.hausdorff_distance(pitch) < MILLIMETRE


@given(frame=frames(), length=metres(40, 120), ratio=st.floats(0.2, 0.9))
def test_a_traced_rectangle_comes_back_in_its_own_size(
    frame: Frame, length: float, ratio: float
) -> None:
    """A slanted pitch traced on a map lies level in its frame, its corner at the origin."""
    pitch = rectangle(0, 0, length, length * ratio)
    traced = frame.lonlat_polygon(pitch)
    own, local = frame_polygon(traced)
    x0, y0, x1, y1 = local.bounds
    assert (x0, y0) == (0.0, 0.0)
    # The plane touches at another corner than the pitch was drawn from, so a few millimetres.
    assert x1 == pytest.approx(length, abs=0.02)
    assert y1 == pytest.approx(length * ratio, abs=0.02)
    assert 0.0 <= own.bearing_deg < 180.0
    off = abs(own.bearing_deg - frame.bearing_deg) % 180.0
    assert min(off, 180.0 - off) < 0.05
    back = frame.local_polygon(own.lonlat_polygon(local))
    assert shapely.hausdorff_distance(back, pitch) < 0.03


def test_a_pitch_that_lies_north_south_faces_north() -> None:
    """The x axis of a pitch drawn straight up the map runs north, never south by rounding noise."""
    for lat in (-41.3, 0.0, 51.5, 64.1):
        per_lon, per_lat = metres_per_degree(lat)
        traced = shapely.box(10, lat, 10 + 60 / per_lon, lat + 100 / per_lat)
        frame, local = frame_polygon(traced)
        assert frame.bearing_deg == 0.0
        assert local.bounds == pytest.approx((0, 0, 100, 60), abs=0.01)


@pytest.mark.parametrize("bearing_deg", [179.9999999, 359.9999999, 1e-8])
def test_a_bearing_a_hair_off_north_is_north(bearing_deg: float) -> None:
    """Tracing noise below a millionth of a degree does not turn a pitch round."""
    traced = Frame(10.0, 51.0, bearing_deg).lonlat_polygon(rectangle(0, 0, 100, 60))
    assert frame_polygon(traced)[0].bearing_deg in (0.0, pytest.approx(0.0, abs=2e-6))


@pytest.mark.parametrize("lon", [179.9999, -179.9999])
def test_a_pitch_may_lie_across_the_date_line(lon: float) -> None:
    """Degrees go on from 180 at −180; metres do not mind (as on Taveuni in Fiji, at 16.8° S)."""
    frame = Frame(lon, -16.8, 90.0)
    for east in (-60.0, 60.0):
        there, lat = frame.lonlat_from_local(east, 0.0)
        assert -180.0 <= there < 180.0
        assert frame.local_from_lonlat(there, lat) == pytest.approx((east, 0.0), abs=1e-6)
    per_lon, _ = metres_per_degree(-16.8)
    other = -lon
    across = 0.0002 * per_lon * (1 if lon > 0 else -1)
    assert frame.local_from_lonlat(other, -16.8)[0] == pytest.approx(across, abs=1e-3)


def test_an_l_shaped_hall_keeps_its_corner_out() -> None:
    """The notch of a traced L is no ground, and the frame is that of the rectangle round it."""
    hall = Polygon([(0, 0), (40, 0), (40, 12), (22, 12), (22, 25), (0, 25)])
    traced = Frame(5.0, 52.0, 37.0).lonlat_polygon(hall)
    frame, local = frame_polygon(traced)
    assert frame.bearing_deg == pytest.approx(37.0, abs=0.01)
    assert local.area == pytest.approx(hall.area, abs=0.5)
    assert local.bounds == pytest.approx((0, 0, 40, 25), abs=0.02)


@pytest.mark.parametrize("n", range(8))
def test_each_point_of_the_compass_is_found(n: int) -> None:
    """Bearings up to 22° either side of a point are called by it."""
    assert compass_point(n * 45.0) == COMPASS[n]
    assert compass_point(n * 45.0 + 22.0) == COMPASS[n]
    assert compass_point((n * 45.0 - 22.0) % 360.0) == COMPASS[n]


@given(one=st.floats(-720, 720), other=st.floats(-720, 720))
def test_the_angle_between_bearings_is_the_smaller_one(one: float, other: float) -> None:
    """It is symmetric, between 0 and 180, and does not mind whole turns."""
    between = angle_between_deg(one, other)
    assert 0.0 <= between <= 180.0
    assert between == pytest.approx(angle_between_deg(other, one), abs=1e-6)
    assert between == pytest.approx(angle_between_deg(one + 360.0, other), abs=1e-6)


def test_angles_across_north_are_small() -> None:
    """350° and 10° are 20° apart."""
    assert angle_between_deg(350.0, 10.0) == pytest.approx(20.0)
    assert angle_between_deg(0.0, 180.0) == 180.0


def test_points_of_the_compass_have_the_names_of_the_files() -> None:
    """Grounds files name edges by these words, so they stay as they are."""
    north_round = [compass_point(bearing) for bearing in range(0, 360, 45)]
    assert north_round == [
        "north",
        "north-east",
        "east",
        "south-east",
        "south",
        "south-west",
        "west",
        "north-west",
    ]


HALL = Polygon([(0, 0), (40, 0), (40, 12), (22, 12), (22, 25), (0, 25)])


@given(frame=frames())
def test_the_lower_left_bound_is_the_origin(frame: Frame) -> None:
    """To the last digit, and every corner on a whole millimetre, however the pitch is turned."""
    _, local = frame_polygon(frame.lonlat_polygon(HALL))
    assert local.bounds[:2] == (0.0, 0.0)
    corners = shapely.get_coordinates(local)
    assert abs(corners - corners.round(3)).max() < 1e-9


def test_heights_of_corners_are_left_aside() -> None:
    """Maps and receivers that give a height with each corner give the same pitch."""
    traced = Frame(5.0, 52.0, 37.0).lonlat_polygon(HALL)
    with_heights = shapely.force_3d(traced, 31.5)
    assert frame_polygon(with_heights)[0] == frame_polygon(traced)[0]
    assert frame_polygon(with_heights)[1].equals(frame_polygon(traced)[1])


def test_ground_that_hangs_together_by_a_hair_is_its_largest_part() -> None:
    """A neck narrower than a millimetre parts a pitch; what is left is one polygon."""
    under, over = 20, 20.0002
    right = [(60, under), (70, under), (70, 0), (80, 0), (80, 40), (70, 40), (70, over), (60, over)]
    two = Polygon([(0, 0), (60, 0), *right, (60, 40), (0, 40)])
    _, local = frame_polygon(Frame(5.0, 52.0, 37.0).lonlat_polygon(two))
    assert local.bounds == pytest.approx((0, 0, 60, 40), abs=0.02)


def test_what_is_left_of_parted_ground_stays_where_it_was_traced() -> None:
    """Frame and polygon belong together on the map, also where the part in front falls away."""
    under, over = 20, 20.0002
    left = [(20, over), (10, over), (10, 40), (0, 40), (0, 0), (10, 0), (10, under), (20, under)]
    two = Polygon([(20, 0), (80, 0), (80, 40), (20, 40), *left])
    drawn_in = Frame(5.0, 52.0, 37.0)
    frame, local = frame_polygon(drawn_in.lonlat_polygon(two))
    assert local.bounds == pytest.approx((0, 0, 60, 40), abs=0.02)
    on_map = drawn_in.local_polygon(frame.lonlat_polygon(local))
    assert on_map.bounds == pytest.approx((20, 0, 80, 40), abs=0.02)


@pytest.mark.parametrize("bearing_deg", [49.0, 112.0, 140.0])
@pytest.mark.parametrize("first", range(6))
def test_a_large_pitch_begins_at_its_origin_whichever_corner_was_traced_first(
    bearing_deg: float, first: int
) -> None:
    """Over 100 m degrees change by some tenths of a millimetre, which rounding can make a whole."""
    corners = [(0, 0), (120, 0), (120, 40), (70, 40), (70, 90), (0, 90)]
    large = Polygon(corners[first:] + corners[:first])
    _, local = frame_polygon(Frame(5.0, -45.0, bearing_deg).lonlat_polygon(large))
    assert local.bounds[:2] == (0.0, 0.0)


def test_a_strip_too_narrow_to_be_ground_has_a_frame_all_the_same() -> None:
    """What is no ground is told elsewhere, with words; here it is only measured."""
    strip = Frame(5.0, 52.0, 90.0).lonlat_polygon(rectangle(0, 0, 60, 0.05))
    frame, local = frame_polygon(strip)
    assert frame.bearing_deg == pytest.approx(90.0, abs=0.1)
    assert local.bounds[2] == pytest.approx(60, abs=0.02)
