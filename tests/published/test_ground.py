"""Lengths and areas on the ground against published figures for WGS 84."""

from __future__ import annotations

import math

import pytest
from shapely import Polygon, box

from clubplanner.domain.ground.grounds import METRES_PER_YARD, yards_from_metres
from clubplanner.geometry.frame import (
    ECCENTRICITY_SQUARED,
    EQUATOR_RADIUS_M,
    Frame,
    frame_polygon,
    metres_per_degree,
)
from tests.builders import FULL_SIZE_GOALS, make_pitch

# "Length of a degree" for WGS 84, as printed in Wikipedia, "Latitude" (from memory; the rows for
# 0° and 90° were read in a page that quotes them). Latitude in degrees, then kilometres a degree
# of latitude and kilometres a degree of longitude.
DEGREES = [
    (0, 110.574, 111.320),
    (15, 110.649, 107.550),
    (30, 110.852, 96.486),
    (45, 111.132, 78.847),
    (60, 111.412, 55.800),
    (75, 111.618, 28.902),
    (90, 111.694, 0.000),
]

# PostGIS manual, ST_Transform: a plot in Massachusetts, from its state plane to WGS 84.
MASSACHUSETTS_PLOT = Polygon(
    [
        (-71.1776848522251, 42.3902896512902),
        (-71.1776843766326, 42.3903829478009),
        (-71.1775844305465, 42.3903826677917),
        (-71.1775825927231, 42.3902893647987),
    ]
)


@pytest.mark.parametrize(("lat", "km_a_lat", "km_a_lon"), DEGREES)
def test_a_degree_has_its_published_length(lat: int, km_a_lat: float, km_a_lon: float) -> None:
    """Degrees of longitude and latitude agree with the table to its last metre."""
    per_lon, per_lat = metres_per_degree(lat)
    assert per_lat == pytest.approx(km_a_lat * 1000, abs=1.0)
    assert per_lon == pytest.approx(km_a_lon * 1000, abs=1.5)


def test_a_second_at_the_equator_has_its_published_length() -> None:
    """A second of longitude and one of latitude agree to the last published figure."""
    # Wikipedia, "Geographic coordinate system": 30.92 m and 30.715 m at the equator. Its rows for
    # other latitudes assume a sphere and are a few parts in a thousand short, so they are not used.
    per_lon, per_lat = metres_per_degree(0.0)
    assert per_lon / 3600 == pytest.approx(30.92, abs=0.005)
    assert per_lat / 3600 == pytest.approx(30.715, abs=0.0005)


def test_a_degree_of_latitude_agrees_with_the_series() -> None:
    """The cosine series for WGS 84 gives the same length within a few centimetres."""
    # Wikipedia, "Geographic coordinate system": 111132.92 − 559.82 cos 2φ + 1.175 cos 4φ
    # − 0.0023 cos 6φ; and for longitude 111412.84 cos φ − 93.5 cos 3φ + 0.118 cos 5φ.
    for lat in range(-90, 91, 5):
        phi = math.radians(lat)
        series_lat = (
            111_132.92
            - 559.82 * math.cos(2 * phi)
            + 1.175 * math.cos(4 * phi)
            - 0.0023 * math.cos(6 * phi)
        )
        series_lon = (
            111_412.84 * math.cos(phi) - 93.5 * math.cos(3 * phi) + 0.118 * math.cos(5 * phi)
        )
        per_lon, per_lat = metres_per_degree(lat)
        assert per_lat == pytest.approx(series_lat, abs=0.1)
        assert per_lon == pytest.approx(series_lon, abs=0.1)


def test_the_ellipsoid_is_that_of_wgs_84() -> None:
    """The constants give the published polar radius and flattening."""
    # NIMA TR8350.2, 3rd edition, tables 3.1 and 3.3: a = 6 378 137.0 m, 1/f = 298.257 223 563,
    # b = 6 356 752.3142 m.
    flattening = 1 / 298.257223563
    assert pytest.approx(flattening * (2 - flattening), rel=1e-11) == ECCENTRICITY_SQUARED
    polar = EQUATOR_RADIUS_M * math.sqrt(1 - ECCENTRICITY_SQUARED)
    assert polar == pytest.approx(6_356_752.3142, abs=1e-3)


def test_a_plot_has_its_published_area_and_perimeter() -> None:
    """A traced plot comes out at the area and perimeter measured on the spheroid."""
    # PostGIS manual, ST_Area: 86.2776044979692 m² on the spheroid; ST_Perimeter:
    # 37.3790462565251 m.
    lon, lat = MASSACHUSETTS_PLOT.exterior.coords[0][:2]
    plot = Frame(lon, lat, 30.0).local_polygon(MASSACHUSETTS_PLOT)
    assert plot.area == pytest.approx(86.2776044979692, rel=1e-6)
    assert plot.length == pytest.approx(37.3790462565251, rel=1e-6)
    # As a pitch it is squared up, from sides of 8.23 and 8.42 m to their mean in centimetres.
    _, squared = frame_polygon(MASSACHUSETTS_PLOT)
    assert squared.area == pytest.approx(86.2776044979692, rel=2e-3)


def test_the_spherical_map_plane_is_not_used() -> None:
    """A full-size pitch at 51.5° N keeps its 105 m; on a web map's plane it would be 168.6 m."""
    # EPSG:3857 stretches by 1/cos φ (EPSG Guidance Note 7-2); 105 m × 1.606 ≈ 168.6 m.
    length = 105.0 / metres_per_degree(51.5)[0]
    width = 68.0 / metres_per_degree(51.5)[1]
    _, local = frame_polygon(box(-0.1, 51.5, -0.1 + length, 51.5 + width))
    x0, y0, x1, y1 = local.bounds
    assert x1 - x0 == pytest.approx(105.0, abs=0.002)
    assert y1 - y0 == pytest.approx(68.0, abs=0.002)
    assert 105.0 / math.cos(math.radians(51.5)) == pytest.approx(168.6, abs=0.1)


def test_a_yard_is_exactly_914_4_millimetres() -> None:
    """The international yard of 1959 is 0.9144 m."""
    # Federal Register, 1 July 1959, "Refinement of Values for the Yard and the Pound".
    assert METRES_PER_YARD == 0.9144
    # FA, Goalpost and pitch sizes, FA Handbook 2016-17 p. 556: adult pitch 110 × 70 yd.
    assert yards_from_metres(100.584) == pytest.approx(110.0)
    assert yards_from_metres(64.008) == pytest.approx(70.0)


def test_a_full_size_pitch_holds_the_published_ground_a_player() -> None:
    """105 × 68 m among 22 players, goalkeepers counted, is 325 m² each."""
    # Goto 2018, Football Science 15, 18–25: 324.5, published as 325 m² a player.
    whole = make_pitch(length_m=105.0, width_m=68.0, cuts=()).area("whole")
    assert round(whole.area_m2 / 22) == 325


def test_goals_have_the_published_size() -> None:
    """A full-size goal stands with its posts 7.32 m apart in the middle of the goal line."""
    # IFAB Laws of the Game, Law 1: 7.32 m between the posts, 2.44 m under the bar.
    pitch = make_pitch(length_m=105.0, width_m=68.0, cuts=(), goals=(FULL_SIZE_GOALS,))
    assert len(pitch.goals) == 2
    for goal in pitch.goals:
        assert goal.height_m == 2.44
        assert goal.mouth.length == pytest.approx(7.32)
        _, low, _, high = goal.mouth.bounds
        assert (low, high) == pytest.approx((30.34, 37.66))
