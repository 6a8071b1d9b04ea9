"""Ground as a map: degrees of WGS 84 by RFC 7946, a property a column."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon, box
from shapely.geometry import shape

from clubplanner.geometry.frame import Frame, metres_per_degree
from clubplanner.outputs.tables.map_files import GroundShape, write_map
from clubplanner.outputs.tables.table import Cell, Column, Kind, Table

HOLED = Polygon([(0, 0), (0, 60), (100, 60), (100, 0)], [[(10, 10), (20, 10), (20, 20), (10, 20)]])
"""Its outer ring runs with the clock, its inner one against it: the wrong way round for a map."""


def written(*shapes: GroundShape, kind: Kind = Kind.TEXT, cell: Cell = "Top") -> list[Any]:
    """Return the features of a map."""
    zone = ZoneInfo("Europe/London")
    table = Table("t", (Column("Ground", kind),), [(cell,) for _shape in shapes], zone=zone)
    data = json.loads(write_map(table, shapes))
    assert data.keys() == {"type", "features"}
    assert data["type"] == "FeatureCollection"
    return list(data["features"])


@settings(max_examples=40)
@given(
    st.floats(-179.9, 179.9), st.floats(-75, 75), st.floats(0, 359), st.sampled_from([box, None])
)
def test_ground_lies_where_it_is(lon: float, lat: float, bearing: float, kind: object) -> None:
    """Rings follow the right-hand rule (RFC 7946, 3.1.6), and the ground is as large as it was."""
    polygon = HOLED if kind is None else box(0, 0, 100, 60)
    (feature,) = written(GroundShape(Frame(lon, lat, bearing), polygon))
    ground: Any = shape(feature["geometry"])
    parts = getattr(ground, "geoms", (ground,))
    for part in parts:
        assert part.is_valid
        assert part.exterior.is_ccw
        assert not any(ring.is_ccw for ring in part.interiors)
        assert all(-180 <= x <= 180 and -90 <= y <= 90 for x, y in part.exterior.coords)
    per_lon, per_lat = metres_per_degree(lat)
    assert ground.area * per_lon * per_lat == pytest.approx(polygon.area, rel=5e-3)


@pytest.mark.parametrize("lon", [179.9995, -179.9995])
def test_what_crosses_the_meridian_is_cut_there(lon: float) -> None:
    """Ground on both sides of 180° has a part on either (RFC 7946, 3.1.9)."""
    bearing = 90.0 if lon > 0 else 270.0
    (feature,) = written(GroundShape(Frame(lon, -16.8, bearing), box(0, 0, 100, 60)))
    assert feature["geometry"]["type"] == "MultiPolygon"
    parts: Any = shape(feature["geometry"])
    east, west = sorted(parts.geoms, key=lambda part: -part.bounds[0])
    assert east.bounds[2] == 180.0
    assert west.bounds[0] == -180.0
    assert 0.0009 < (180 - east.bounds[0]) + (west.bounds[2] + 180) < 0.001


def test_ground_without_a_place_is_told_without_geometry() -> None:
    """A row is not lost because nobody has said where its venue lies (RFC 7946, 3.2)."""
    (feature,) = written(GroundShape(None, HOLED))
    assert feature == {"type": "Feature", "geometry": None, "properties": {"Ground": "Top"}}


@pytest.mark.parametrize(
    ("kind", "cell", "told"),
    [
        (Kind.DATE, date(2026, 9, 5), "2026-09-05"),
        (Kind.TIME, 1050, "17:30"),
        (Kind.TIME, 1440, "24:00"),
        (Kind.INSTANT, datetime(2026, 7, 1, 17, tzinfo=UTC), "2026-07-01T18:00+01:00"),
        (Kind.HOURS, 1.5, 1.5),
        (Kind.NUMBER, 14, 14),
        (Kind.NUMBER, float("nan"), None),
        (Kind.TEXT, "=1+1", "=1+1"),
        (Kind.TEXT, None, None),
    ],
)
def test_properties_are_numbers_and_words(kind: Kind, cell: Cell, told: object) -> None:
    """A map program can sort by them; nothing there is worked out as a formula."""
    (feature,) = written(GroundShape(None, HOLED), kind=kind, cell=cell)
    assert feature["properties"] == {"Ground": told}
