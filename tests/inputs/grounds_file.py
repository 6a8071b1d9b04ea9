"""A grounds file for tests, made of traced features and read."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

from shapely import Polygon

from clubplanner.geometry.shapes import rectangle
from clubplanner.inputs.ground_files.grounds import GroundsRead, read_grounds
from tests.builders import LEVEL_FRAME

if TYPE_CHECKING:
    from clubplanner.domain.ground.grounds import Pitch
    from clubplanner.geometry.frame import Frame


HERE = LEVEL_FRAME
"""Traced shapes in these tests are drawn in metres of this frame, x east and y north."""


def trace(shape: Polygon, frame: Frame = HERE) -> dict[str, Any]:
    """Return a GeoJSON Polygon of a shape given in metres, to seven places of a degree."""
    rings = [shape.exterior, *shape.interiors]
    corners = [
        [
            [round(v, 7) for v in frame.lonlat_from_local(x, y)]
            for x, y in Polygon(ring).exterior.coords
        ]
        for ring in rings
    ]
    return {"type": "Polygon", "coordinates": corners}


def spot(x_m: float, y_m: float) -> list[float]:
    """Return a position of a place in metres."""
    return list(HERE.lonlat_from_local(x_m, y_m))


def feature(role: str, geometry: Any = None, /, **properties: Any) -> dict[str, Any]:
    """Return a feature of the file."""
    return {
        "type": "Feature",
        "properties": {"role": role, **properties},
        "geometry": geometry,
    }


def pitch(geometry: Any = None, **properties: Any) -> dict[str, Any]:
    """Return the feature of a grass pitch called "Top", traced as 100 × 60 m if not otherwise."""
    if geometry is None and not {"length_m", "corners_m"} & set(properties):
        geometry = trace(rectangle(0, 0, 100, 60))
    return feature("pitch", geometry, **{"name": "Top", "surface": "grass", **properties})


def read(*features: Any, **members: Any) -> GroundsRead:
    """Read a file of some features at Marsh Lane."""
    collection = {"type": "FeatureCollection", "venue": "Marsh Lane", "features": features}
    return read_grounds(json.dumps({**collection, **members}), "g.geojson")


def read_one(*features: Any) -> Pitch:
    """Read a file of one pitch that has no fault."""
    result = read(*features)
    assert not result.problems
    (found,) = result.pitches
    return found


def faults_of(result: GroundsRead) -> list[tuple[str, str]]:
    """Return place and code of every problem, the file's name left out."""
    return [(p.where.removeprefix("g.geojson").lstrip(", "), p.code) for p in result.problems]


CROSSED = Polygon([(0, 0), (100, 60), (100, 0), (0, 60)])
POINT = {"type": "Point", "coordinates": [HERE.lon, HERE.lat]}
TOP = "feature 1 (“Top”)"
