"""A table whose rows are ground, as a map (GeoJSON, RFC 7946): it opens right in a map program.

Places are longitude and latitude in degrees of WGS 84, in that order (sections 3.1.1 and 4); outer
rings run against the clock, inner ones with it (3.1.6), and what crosses the meridian of 180° is
cut there (3.1.9). A row whose ground has no place in the world has no geometry (3.2).
"""

from __future__ import annotations

import json
import math
from dataclasses import dataclass
from datetime import date, datetime
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon, box

from clubplanner.domain.times.times import clock_from_minute
from clubplanner.outputs.tables.table import Kind, cell_text

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.geometry.frame import Frame
    from clubplanner.outputs.tables.table import Cell, Column, Table

MIME = "application/geo+json"
DIGITS = 7
"""Of a degree: a centimetre."""


@dataclass(frozen=True, slots=True)
class GroundShape:
    """Where the ground of a row lies.

    Attributes:
        frame: The frame in which it is measured; None where nobody has said where that lies.
        polygon: In metres of that frame.
    """

    frame: Frame | None
    polygon: Polygon


def write_map(table: Table, shapes: Sequence[GroundShape]) -> bytes:
    """Write a table as a map: a feature a row, with a property a column.

    Args:
        table: The rows; instants are told by the clock of its zone, with how far that is from UTC.
        shapes: The ground of each row, in the same order.
    """
    features = [
        {
            "type": "Feature",
            "geometry": _geometry(shape),
            "properties": {
                column.heading: _value(table, column, cell)
                for column, cell in zip(table.columns, row, strict=True)
            },
        }
        for row, shape in zip(table.rows, shapes, strict=True)
    ]
    data = {"type": "FeatureCollection", "features": features}
    return json.dumps(data, ensure_ascii=False, allow_nan=False).encode()


def _value(table: Table, column: Column, cell: Cell) -> Any:
    if isinstance(cell, datetime):
        table.local(cell)  # no wall clock is guessed
        return cell.astimezone(table.zone).isoformat(timespec="minutes")
    if isinstance(cell, date):
        return cell.isoformat()
    if cell is None or isinstance(cell, str):
        return None if cell is None else cell_text(cell)
    if column.kind is Kind.TIME:
        return clock_from_minute(int(cell))
    return _number(float(cell))


def _number(value: float) -> float | int | None:
    if not math.isfinite(value):
        return None
    return int(value) if value.is_integer() else value


def _geometry(shape: GroundShape) -> dict[str, Any] | None:
    if shape.frame is None or shape.polygon.is_empty:
        return None
    frame = shape.frame
    traced = frame.lonlat_polygon(shape.polygon)
    west, _south, east, _north = traced.bounds
    found = _cut(traced) if east - west > 180.0 else traced
    oriented = shapely.orient_polygons(found, exterior_cw=False)
    if isinstance(oriented, MultiPolygon):
        return {
            "type": "MultiPolygon",
            "coordinates": [_rings(one) for one in oriented.geoms],
        }
    return {"type": "Polygon", "coordinates": _rings(oriented)}


def _cut(crossing: Polygon) -> Polygon | MultiPolygon:
    """Cut ground that crosses the meridian of 180° into what lies on either side of it."""
    whole = shapely.transform(
        crossing, lambda places: np.column_stack((places[:, 0] % 360.0, places[:, 1]))
    )
    before = whole.intersection(box(0.0, -90.0, 180.0, 90.0))
    after = whole.intersection(box(180.0, -90.0, 360.0, 90.0))
    moved = shapely.transform(after, lambda places: places - np.array([360.0, 0.0]))
    parts = [
        part
        for half in (before, moved)
        for part in getattr(half, "geoms", (half,))
        if isinstance(part, Polygon) and not part.is_empty
    ]
    return MultiPolygon(parts) if len(parts) > 1 else parts[0]


def _rings(polygon: Polygon) -> list[list[list[float]]]:
    return [
        [[round(float(lon), DIGITS), round(float(lat), DIGITS)] for lon, lat in ring.coords]
        for ring in (polygon.exterior, *polygon.interiors)
    ]
