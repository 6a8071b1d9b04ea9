"""Outlines of map files that know nothing of us, the examples of RFC 7946 among them."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clubplanner.inputs.ground_files.grounds import read_grounds
from clubplanner.inputs.ground_files.plain_outlines import (
    Answer,
    is_plain,
    orders_of,
    read_plain,
    write_answers,
)

SQUARE = [[1.0, 52.0], [1.001, 52.0], [1.001, 52.0005], [1.0, 52.0005]]
POLYGON = {"type": "Polygon", "coordinates": [[*SQUARE, SQUARE[0]]]}
ANSWERS = {"name": "Top pitch", "surface": "grass", "cuts": ["halves"]}


def feature(geometry: Any, **properties: Any) -> dict[str, Any]:
    """Return a feature."""
    return {"type": "Feature", "properties": properties, "geometry": geometry}


def outlines(data: Any) -> int:
    """Return how many outlines a file has."""
    return len(read_plain(json.dumps(data), "map.geojson").outlines)


@pytest.mark.parametrize(
    ("example", "count"),
    [
        # RFC 7946, appendix A: each kind of geometry
        ({"type": "Point", "coordinates": [100.0, 0.0]}, 0),
        ({"type": "LineString", "coordinates": [[100.0, 0.0], [101.0, 1.0]]}, 0),
        (
            {
                "type": "Polygon",
                "coordinates": [
                    [[100.0, 0.0], [101.0, 0.0], [101.0, 1.0], [100.0, 1.0], [100.0, 0.0]]
                ],
            },
            1,
        ),
        (
            {
                "type": "Polygon",
                "coordinates": [
                    [[100.0, 0.0], [101.0, 0.0], [101.0, 1.0], [100.0, 1.0], [100.0, 0.0]],
                    [[100.8, 0.8], [100.8, 0.2], [100.2, 0.2], [100.2, 0.8], [100.8, 0.8]],
                ],
            },
            1,
        ),
        (
            {
                "type": "MultiPolygon",
                "coordinates": [
                    [[[102.0, 2.0], [103.0, 2.0], [103.0, 3.0], [102.0, 3.0], [102.0, 2.0]]],
                    [
                        [[100.0, 0.0], [101.0, 0.0], [101.0, 1.0], [100.0, 1.0], [100.0, 0.0]],
                        [[100.2, 0.2], [100.2, 0.8], [100.8, 0.8], [100.8, 0.2], [100.2, 0.2]],
                    ],
                ],
            },
            2,
        ),
        (
            {
                "type": "GeometryCollection",
                "geometries": [
                    {"type": "Point", "coordinates": [100.0, 0.0]},
                    {"type": "LineString", "coordinates": [[101.0, 0.0], [102.0, 1.0]]},
                ],
            },
            0,
        ),
        # RFC 7946, section 1.5: a collection of a point, a line and a polygon
        (
            {
                "type": "FeatureCollection",
                "features": [
                    {
                        "type": "Feature",
                        "geometry": {"type": "Point", "coordinates": [102.0, 0.5]},
                        "properties": {"prop0": "value0"},
                    },
                    {
                        "type": "Feature",
                        "geometry": {
                            "type": "LineString",
                            "coordinates": [[102.0, 0.0], [103.0, 1.0], [104.0, 0.0], [105.0, 1.0]],
                        },
                        "properties": {"prop0": "value0", "prop1": 0.0},
                    },
                    {
                        "type": "Feature",
                        "geometry": {
                            "type": "Polygon",
                            "coordinates": [
                                [
                                    [100.0, 0.0],
                                    [101.0, 0.0],
                                    [101.0, 1.0],
                                    [100.0, 1.0],
                                    [100.0, 0.0],
                                ]
                            ],
                        },
                        "properties": {"prop0": "value0", "prop1": {"this": "that"}},
                    },
                ],
            },
            1,
        ),
        # as drawing tools vary
        (feature(None), 0),
        (feature(POLYGON), 1),
        ({"type": "Polygon", "coordinates": [SQUARE]}, 1),
        ({"type": "Polygon", "coordinates": [[[*spot, 31.4] for spot in SQUARE]]}, 1),
        ({"type": "MultiPolygon", "coordinates": [POLYGON["coordinates"]]}, 1),
        ({"type": "LineString", "coordinates": [*SQUARE, SQUARE[0]]}, 1),
        ({"type": "Polygon", "coordinates": [SQUARE[:2]]}, 0),
        ({"type": "Polygon", "coordinates": [[*SQUARE[:3], [1.0, "52"]]]}, 0),
        ([1, 2], 0),
    ],
)
def test_every_form_of_an_outline_is_taken(example: Any, count: int) -> None:
    """Collections, features and bare geometries; what is no outline is counted or told."""
    assert outlines(example) == count
    read = read_plain(json.dumps(example), "map.geojson")
    assert bool(read.problems) == (count == 0)
    assert is_plain(json.dumps(example)) == isinstance(example, dict)


@pytest.mark.parametrize("position", [(0, 1), (1, 0)])
def test_with_the_answers_it_is_a_grounds_file(position: tuple[int, int]) -> None:
    """In either order of coordinates, with properties of others, it gives the same pitch."""
    spots = [[spot[position[0]], spot[position[1]]] for spot in SQUARE]
    text = json.dumps(feature({"type": "Polygon", "coordinates": [spots]}, name="A", stroke="#f00"))
    (outline,) = read_plain(text, "").outlines
    assert outline.name == "A"
    is_swapped = position == (1, 0)
    written = write_answers("Weir Park", [Answer(outline, ANSWERS)], is_swapped=is_swapped)
    read = read_grounds(written, "")
    assert read.problems == ()
    (pitch,) = read.pitches
    assert pitch.name == "Top pitch"
    assert pitch.frame is not None
    assert pitch.frame.lat == pytest.approx(52.0, abs=0.001)
    assert not pitch.are_goals_known
    assert {area.cut for area in pitch.areas} == {"whole", "halves"}


def test_which_orders_can_be() -> None:
    """No latitude is beyond 90 degrees; where both can be, somebody has to say."""
    south = [[151.2, -33.8], [151.201, -33.8], [151.201, -33.801]]
    for ring, orders in ((SQUARE, (False, True)), (south, (False,))):
        data = json.dumps({"type": "Polygon", "coordinates": [ring]})
        assert orders_of(read_plain(data, "").outlines) == orders
    grid = {"type": "Polygon", "coordinates": [[[4e5, 5e6], [4e5, 5.1e6], [4.1e5, 5e6]]]}
    (problem,) = read_plain(json.dumps(grid), "").problems
    assert "no degrees" in problem.message


def test_a_grounds_file_of_ours_is_none() -> None:
    """It says its venue, or what its features are."""
    ours = {"type": "FeatureCollection", "venue": "Weir Park", "features": [feature(POLYGON)]}
    assert not is_plain(json.dumps(ours))
    assert not is_plain(
        json.dumps({"type": "FeatureCollection", "features": [feature(POLYGON, role="pitch")]})
    )
    assert is_plain(
        json.dumps({"type": "FeatureCollection", "features": [feature(POLYGON, name="A")]})
    )
    assert not is_plain("{")


def test_others_properties_are_left_alone_in_our_files_and_slips_are_told() -> None:
    """A program that draws adds colours; “surfaces” is still a slip for “surface”."""
    base = {"type": "FeatureCollection", "venue": "Weir Park"}
    coloured = feature(POLYGON, **ANSWERS, stroke="#ff0000", **{"fill-opacity": 0.5})
    assert read_grounds(json.dumps({**base, "features": [coloured]}), "").problems == ()
    slip = feature(POLYGON, **ANSWERS, floodlight=True)
    (problem,) = read_grounds(json.dumps({**base, "features": [slip]}), "").problems
    assert "floodlight" in problem.message


JSON = st.recursive(
    st.none() | st.integers(-200, 200) | st.text(max_size=5),
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.dictionaries(
            st.sampled_from(
                ["type", "features", "geometry", "geometries", "coordinates", "properties"]
            ),
            inner | st.sampled_from(["Feature", "FeatureCollection", "Polygon", "MultiPolygon"]),
            max_size=4,
        )
    ),
    max_leaves=20,
)


@given(JSON)
def test_no_file_is_thrown_back(data: Any) -> None:
    """Any JSON gives outlines or a problem."""
    read = read_plain(json.dumps(data), "map.geojson")
    assert bool(read.outlines) != bool(read.problems)
    is_plain(json.dumps(data))
