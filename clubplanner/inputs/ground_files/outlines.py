"""Reading outlines: GeoJSON polygons (RFC 7946: longitude first, WGS 84) and sizes in metres."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import shapely
from shapely import Polygon

from clubplanner.geometry.frame import Frame, frame_polygon
from clubplanner.geometry.shapes import explain_fault, rectangle
from clubplanner.inputs.ground_files.pitch_parts import LONGEST_M, SHORTEST_M, polygon_of
from clubplanner.inputs.reading.fields import is_number
from clubplanner.language import _, figure

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from clubplanner.inputs.reading.fields import Fields

FULL_TURN_DEG, RIGHT_ANGLE_DEG = 360.0, 90.0
"""No longitude is beyond the first, in any way of counting, and no latitude beyond the second."""


def read_outline(
    fields: Fields, geometry: Mapping[str, Any]
) -> tuple[Frame | None, Polygon | None]:
    """Read the outline of a pitch: traced, by length and width, or by corners in metres.

    Returns:
        The frame, None where only the size is given, and the polygon in metres of that frame;
        the polygon is None when there is a fault, which is noted.
    """
    has_size = any(key in fields.values for key in ("length_m", "width_m", "corners_m"))
    frame: Frame | None
    polygon: Polygon | None
    if geometry.get("type") == "Polygon" and not has_size:
        traced = traced_polygon(fields, geometry)
        if traced is None:
            return None, None
        frame, polygon = frame_polygon(traced)
    elif has_size:
        frame, polygon = _measured_outline(fields, geometry)
        if polygon is None:
            return None, None
    elif geometry.get("type") == "MultiPolygon":
        fields.fault(
            "",
            "several-parts",
            _(
                "The outline has several parts; a pitch is one piece of ground: trace each by "
                "itself"
            ),
        )
        return None, None
    else:
        fields.fault(
            "", "no-outline", _("Trace the pitch as a Polygon, or give length_m and width_m")
        )
        return None, None
    x0, y0, x1, y1 = polygon.bounds
    if not (SHORTEST_M <= x1 - x0 <= LONGEST_M and SHORTEST_M <= y1 - y0 <= LONGEST_M):
        fields.fault(
            "",
            "size",
            _(
                "The pitch measures %(x0)s × %(y0)s m; a pitch has %(shortest_m)s to "
                "%(longest_m)s m each way (longitude comes first)",
                x0=figure(x1 - x0, ".1f"),
                y0=figure(y1 - y0, ".1f"),
                shortest_m=figure(SHORTEST_M, "g"),
                longest_m=figure(LONGEST_M, "g"),
            ),
        )
        return None, None
    return frame, polygon


def _measured_outline(
    fields: Fields, geometry: Mapping[str, Any]
) -> tuple[Frame | None, Polygon | None]:
    frame = None
    if geometry:
        bearing = fields.number("bearing_deg", 0, 360)
        point = read_lonlat(geometry.get("coordinates"))
        if geometry.get("type") != "Point" or point is None:
            for key in ("length_m", "width_m", "corners_m"):
                fields.take(key)
            fields.fault(
                "",
                "not-a-point",
                _(
                    "With length_m and width_m the geometry is null, or a Point at the corner "
                    "from which the length runs along bearing_deg"
                ),
            )
            return None, None
        frame = Frame(point[0], point[1], bearing % 360.0)
    if "corners_m" in fields.values:
        corners, holes = fields.take("corners_m"), fields.take("holes_m") or ()
        polygon = polygon_of(fields, "corners_m", corners, holes)
        if polygon is None:
            return frame, None
        x0, y0, _unused, _unused = polygon.bounds
        return frame, shapely.affinity.translate(polygon, -x0, -y0)
    length, width = (fields.number(key, SHORTEST_M, LONGEST_M) for key in ("length_m", "width_m"))
    return frame, rectangle(0.0, 0.0, length, width)


def _read_ring(ring: object) -> list[tuple[float, float]]:
    """Read a ring of positions; empty when any of it is none."""
    read = [read_lonlat(position) for position in ring] if isinstance(ring, list) else []
    points = [point for point in read if point is not None]
    return points if len(points) == len(read) else []


def traced_polygon(fields: Fields, geometry: Mapping[str, Any]) -> Polygon | None:
    """Read a GeoJSON Polygon in degrees; None when there is a fault, which is noted.

    Rings need not be closed: some programs leave the last position out.
    """
    rings = geometry.get("coordinates")
    points = [_read_ring(ring) for ring in (rings if isinstance(rings, list) else [])]
    if not points or any(len(ring) < 3 for ring in points):
        fields.fault("", "outline", _explain_rings(rings))
        return None
    polygon = Polygon(points[0], points[1:])
    reason = explain_fault(polygon)
    if reason:
        fields.fault("", "outline", reason[:1].upper() + reason[1:])
        return None
    return polygon


def _explain_rings(rings: object) -> str:
    """Say what is wrong with the positions of an outline, and how to give them instead."""
    if position := _first_pair(rings, lambda x, y: max(abs(x), abs(y)) > FULL_TURN_DEG):
        return _(
            "The corner %(x)s, %(y)s looks like metres of a map's grid; save the file in degrees "
            "(WGS 84, EPSG:4326), or give the corners as corners_m in metres of the pitch",
            x=figure(position[0], "g"),
            y=figure(position[1], "g"),
        )
    if position := _first_pair(rings, lambda x, y: abs(y) > RIGHT_ANGLE_DEG >= abs(x)):
        return _(
            "The corner %(x)s, %(y)s has its latitude first; write longitude, then latitude",
            x=figure(position[0], "g"),
            y=figure(position[1], "g"),
        )
    return _(
        "The outline must be rings of [longitude, latitude], each with at least "
        "three corners and closed on its first"
    )


def _first_pair(
    rings: object, is_one: Callable[[float, float], bool]
) -> tuple[float, float] | None:
    """Return the first two numbers of a position of which something is true."""
    for ring in rings if isinstance(rings, list) else []:
        for position in ring if isinstance(ring, list) else []:
            pair = position[:2] if isinstance(position, list) else []
            if len(pair) == 2 and all(map(is_number, pair)) and is_one(*pair):
                return float(pair[0]), float(pair[1])
    return None


def single_part(geometry: Mapping[str, Any]) -> Mapping[str, Any]:
    """Return a geometry of several parts that has only one as that one; others as they are.

    Map programs write even a single outline as a MultiPolygon (RFC 7946, section 3.1.7).
    """
    kind, parts = geometry.get("type"), geometry.get("coordinates")
    if not (isinstance(kind, str) and kind.startswith("Multi")):
        return geometry
    if not (isinstance(parts, list) and len(parts) == 1):
        return geometry
    return {**geometry, "type": kind.removeprefix("Multi"), "coordinates": parts[0]}


def read_lonlat(position: Any) -> tuple[float, float] | None:
    """Read a GeoJSON position; None when it is no longitude and latitude in degrees."""
    if not isinstance(position, list) or len(position) < 2:
        return None
    lon, lat = position[:2]
    if not (is_number(lon) and is_number(lat)):
        return None
    return (float(lon), float(lat)) if -180 <= lon <= 180 and -90 <= lat <= 90 else None
