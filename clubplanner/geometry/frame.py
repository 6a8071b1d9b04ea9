"""From longitude and latitude to metres on the ground, and back.

A pitch is small, so a plane that touches the WGS 84 ellipsoid at its corner is exact to a
fraction of a millimetre per hundred metres. Bearings are degrees clockwise from north.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import Polygon

from clubplanner.geometry.shapes import (
    SLIVER_WIDTH_M,
    largest_part,
    longest_axis_deg,
    snap,
    square_up,
)
from clubplanner.language import marked

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

EQUATOR_RADIUS_M = 6_378_137.0
"""WGS 84 semi-major axis (NIMA TR8350.2, table 3.1)."""
ECCENTRICITY_SQUARED = 6.694_379_990_14e-3
"""WGS 84 first eccentricity squared (NIMA TR8350.2, table 3.3)."""

COMPASS = (
    marked("north"),
    marked("north-east"),
    marked("east"),
    marked("south-east"),
    marked("south"),
    marked("south-west"),
    marked("west"),
    marked("north-west"),
)


@dataclass(frozen=True, slots=True)
class Frame:
    """A pitch's own axes: x along its length, y 90° to the left of x, both in metres.

    Attributes:
        lon: Longitude of the origin, degrees, WGS 84.
        lat: Latitude of the origin, degrees, WGS 84.
        bearing_deg: Direction of x, degrees clockwise from north, 0 ≤ bearing < 360.
    """

    lon: float
    lat: float
    bearing_deg: float

    def local_from_lonlat(self, lon: float, lat: float) -> tuple[float, float]:
        """Return (x, y) in metres of a place given in degrees."""
        per_lon, per_lat = metres_per_degree(self.lat)
        east = ((lon - self.lon + 180.0) % 360.0 - 180.0) * per_lon
        north = (lat - self.lat) * per_lat
        sin, cos = _sin_cos(self.bearing_deg)
        return east * sin + north * cos, north * sin - east * cos

    def lonlat_from_local(self, x_m: float, y_m: float) -> tuple[float, float]:
        """Return (lon, lat) in degrees of a place given in metres."""
        per_lon, per_lat = metres_per_degree(self.lat)
        sin, cos = _sin_cos(self.bearing_deg)
        east, north = x_m * sin - y_m * cos, x_m * cos + y_m * sin
        lon = (self.lon + east / per_lon + 180.0) % 360.0 - 180.0
        return lon, self.lat + north / per_lat

    def local_polygon(self, polygon: Polygon) -> Polygon:
        """Return a lon/lat polygon in metres of this frame."""
        return self._each(polygon, self.local_from_lonlat)

    def lonlat_polygon(self, polygon: Polygon) -> Polygon:
        """Return a polygon in metres of this frame in lon/lat degrees."""
        return self._each(polygon, self.lonlat_from_local)

    @staticmethod
    def _each(polygon: Polygon, convert: Callable[[float, float], tuple[float, float]]) -> Polygon:
        def convert_all(points: NDArray[np.float64]) -> NDArray[np.float64]:
            return np.array([convert(float(a), float(b)) for a, b in points]).reshape(-1, 2)

        return shapely.transform(polygon, convert_all)


def metres_per_degree(lat: float) -> tuple[float, float]:
    """Return how many metres one degree of longitude and one of latitude measure.

    Args:
        lat: Latitude in degrees, −90 to 90.

    Returns:
        (metres per degree of longitude, metres per degree of latitude), from the radii of
        curvature of the WGS 84 ellipsoid in the prime vertical and the meridian.
    """
    phi = math.radians(lat)
    root = 1.0 - ECCENTRICITY_SQUARED * math.sin(phi) ** 2
    prime_vertical = EQUATOR_RADIUS_M / math.sqrt(root)
    meridian = EQUATOR_RADIUS_M * (1.0 - ECCENTRICITY_SQUARED) / root**1.5
    degree = math.pi / 180.0
    return prime_vertical * math.cos(phi) * degree, meridian * degree


def frame_polygon(traced: Polygon) -> tuple[Frame, Polygon]:
    """Find the frame of a traced pitch and its polygon in that frame.

    x runs along the longer side of the smallest rectangle round the polygon, towards the east
    (towards the north where the pitch lies exactly north–south); the origin is that rectangle's
    corner, so no coordinate is negative. A rectangle traced by hand is squared up (`square_up`).

    Args:
        traced: Valid polygon in lon/lat degrees; holes are kept.

    Returns:
        The frame, and the polygon in metres snapped to the grid of 1 mm.
    """
    first_lon, first_lat = traced.exterior.coords[0][:2]
    level = Frame(first_lon, first_lat, 90.0)
    bearing = (90.0 - longest_axis_deg(level.local_polygon(traced))) % 180.0
    turned = Frame(first_lon, first_lat, round(bearing, 6) % 180.0)
    west, south, _, _ = turned.local_polygon(traced).bounds
    lon, lat = turned.lonlat_from_local(west, south)
    frame = Frame(lon, lat, turned.bearing_deg)
    in_metres = frame.local_polygon(traced)
    local = largest_part(snap(in_metres)) or in_metres  # a neck under 1 mm parts it
    x0, y0, _, _ = local.bounds  # 0, or a rounding of a millimetre
    if max(x0, y0) > SLIVER_WIDTH_M:  # what lay at the origin is gone
        return frame_polygon(frame.lonlat_polygon(local))
    return frame, square_up(shapely.affinity.translate(local, -x0, -y0))


def compass_point(bearing_deg: float) -> str:
    """Return the nearest of the eight compass points, such as "north-east"."""
    return COMPASS[round(bearing_deg / 45.0) % 8]


def angle_between_deg(one_deg: float, other_deg: float) -> float:
    """Return the smaller angle between two bearings, 0 to 180 degrees."""
    return abs((one_deg - other_deg + 180.0) % 360.0 - 180.0)


def _sin_cos(bearing_deg: float) -> tuple[float, float]:
    angle = math.radians(bearing_deg)
    return math.sin(angle), math.cos(angle)
