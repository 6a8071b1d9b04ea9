"""Writing pitches as the grounds file that they could be loaded from (RFC 7946)."""

from __future__ import annotations

import json
import math
from typing import TYPE_CHECKING, Any

import shapely

from clubplanner.geometry.frame import frame_polygon
from clubplanner.geometry.shapes import rectangle

if TYPE_CHECKING:
    from collections.abc import Iterable

    from shapely import Polygon

    from clubplanner.domain.ground.grounds import Goal, Pitch
    from clubplanner.geometry.frame import Frame

DEGREE_DIGITS = 9
"""A tenth of a millimetre on the ground."""
SAME_M = 0.005
"""A traced outline that reads back this near to what it was is written as traced."""
_DRAWN_CUTS = ("markings", "drawn")


def pitch_in_metres(pitch: Pitch) -> dict[str, Any]:
    """Write a pitch as one feature with everything in metres of its own frame: exact.

    A rectangle from (0, 0) is written by length and width, any other outline by its corners.
    """
    feature = _feature({**_facts(pitch), **_outline(pitch.polygon)}, None)
    properties = feature["properties"]
    if pitch.frame is not None:
        feature["geometry"] = _point(pitch.frame.lon, pitch.frame.lat)
        properties["bearing_deg"] = pitch.frame.bearing_deg
    if pitch.are_goals_known:
        properties["goals"] = [_goal(goal) for goal in pitch.goals]
    for role, cut in (("markings", "markings"), ("areas", "drawn")):
        properties[role] = [
            {"name": area.name, "corners_m": _corners(area.polygon)}
            for area in pitch.areas
            if area.cut == cut
        ]
    properties["obstacles"] = [{"corners_m": _corners(shape)} for shape in pitch.obstacles]
    if pitch.entrance is not None:
        properties["entrance_m"] = [round(value, 3) for value in pitch.entrance]
    return feature


def write_grounds(venue: str, pitches: Iterable[Pitch]) -> str:
    """Write a venue's pitches as a grounds file that reads back as the same grounds.

    Pitches whose place is known are written as traced, so that other programs show them on a map;
    the others in metres.
    """
    features: list[dict[str, Any]] = []
    for pitch in pitches:
        if pitch.frame is not None and _reads_back(pitch, pitch.frame):
            features += _traced(pitch, pitch.frame)
        else:
            features.append(pitch_in_metres(pitch))
    return collection(venue, features)


def collection(venue: str, features: Iterable[dict[str, Any]]) -> str:
    """Write features as the text of a venue's grounds file."""
    data = {"type": "FeatureCollection", "venue": venue, "features": list(features)}
    return json.dumps(data, ensure_ascii=False, indent=1)


def _facts(pitch: Pitch) -> dict[str, Any]:
    cuts = dict.fromkeys(
        area.cut for area in pitch.areas if area.cut not in ("whole", *_DRAWN_CUTS)
    )
    edges = pitch.edges
    return {
        "role": "pitch",
        "name": pitch.name,
        "surface": pitch.surface,
        "floodlights": pitch.is_lit,
        "indoor": pitch.is_indoor,
        "names": {name: getattr(edges, name) for name in ("start", "far", "left", "right")},
        "cuts": list(cuts),
        "portable_goals": pitch.portable_goals,
    }


def _outline(polygon: Polygon) -> dict[str, Any]:
    _, _, x1, y1 = polygon.bounds
    if polygon.equals(rectangle(0.0, 0.0, x1, y1)):
        return {"length_m": round(x1, 3), "width_m": round(y1, 3)}
    holes = [_ring(ring.coords) for ring in polygon.interiors]
    return {"corners_m": _corners(polygon), **({"holes_m": holes} if holes else {})}


def _goal(goal: Goal) -> dict[str, Any]:
    return {
        "x_m": goal.x_m,
        "y_m": goal.y_m,
        "along_deg": goal.along_deg,
        "width_m": goal.width_m,
        "height_m": goal.height_m,
        "kind": goal.kind.value,
    }


def _corners(polygon: Polygon) -> list[list[float]]:
    return _ring(polygon.exterior.coords)


def _ring(points: Iterable[Any]) -> list[list[float]]:
    """Return the corners of a closed ring, the first not repeated."""
    return [[round(float(x), 3), round(float(y), 3)] for x, y in list(points)[:-1]]


def _reads_back(pitch: Pitch, frame: Frame) -> bool:
    """Tell whether the outline, traced in degrees, gives the same frame and outline again."""
    read, polygon = frame_polygon(frame.lonlat_polygon(pitch.polygon))
    turned = abs((read.bearing_deg - frame.bearing_deg + 180.0) % 360.0 - 180.0)
    away = math.hypot(*frame.local_from_lonlat(read.lon, read.lat))
    reach = max(pitch.polygon.bounds)
    is_near = away < SAME_M and math.radians(turned) * reach < SAME_M
    return is_near and bool(polygon.hausdorff_distance(pitch.polygon) < SAME_M)


def _traced(pitch: Pitch, frame: Frame) -> list[dict[str, Any]]:
    says_none: dict[str, Any] = {"goals": []} if pitch.are_goals_known and not pitch.goals else {}
    features = [_feature({**_facts(pitch), **says_none}, _polygon(frame, pitch.polygon))]
    own = {"pitch": pitch.name}
    for role, cut in (("marking", "markings"), ("area", "drawn")):
        features += [
            _feature({"role": role, "name": a.name, **own}, _polygon(frame, a.polygon))
            for a in pitch.areas
            if a.cut == cut
        ]
    for goal in pitch.goals:
        posts = [_lonlat(frame, x, y) for x, y in goal.mouth.coords]
        values = {"role": "goal", **own, "height_m": goal.height_m, "kind": goal.kind.value}
        features.append(_feature(values, {"type": "LineString", "coordinates": posts}))
    for shape in pitch.obstacles:
        features.append(_feature({"role": "obstacle", **own}, _polygon(frame, shape)))
    if pitch.entrance is not None:
        spot = _point(*_lonlat(frame, *pitch.entrance))
        features.append(_feature({"role": "entrance", **own}, spot))
    return features


def _feature(properties: dict[str, Any], geometry: dict[str, Any] | None) -> dict[str, Any]:
    return {"type": "Feature", "properties": properties, "geometry": geometry}


def _polygon(frame: Frame, polygon: Polygon) -> dict[str, Any]:
    """Write a polygon with its outer ring against the clock, as RFC 7946 has it (3.1.6)."""
    turned = shapely.orient_polygons(polygon, exterior_cw=False)
    rings = (turned.exterior, *turned.interiors)
    lonlat = [[_lonlat(frame, x, y) for x, y in ring.coords] for ring in rings]
    return {"type": "Polygon", "coordinates": lonlat}


def _point(lon: float, lat: float) -> dict[str, Any]:
    return {"type": "Point", "coordinates": [lon, lat]}


def _lonlat(frame: Frame, x: float, y: float) -> list[float]:
    lon, lat = frame.lonlat_from_local(float(x), float(y))
    return [round(lon, DEGREE_DIGITS), round(lat, DEGREE_DIGITS)]
