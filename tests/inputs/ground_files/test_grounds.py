"""Pitches from a GeoJSON file."""

from __future__ import annotations

import math
import re
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clubplanner.geometry.frame import Frame
from clubplanner.geometry.shapes import rectangle
from clubplanner.inputs.ground_files.grounds import MOST_FEATURES, read_grounds
from tests.inputs.grounds_file import (
    CROSSED,
    HERE,
    POINT,
    TOP,
    faults_of,
    feature,
    pitch,
    read,
    read_one,
    spot,
    trace,
)


def test_a_traced_pitch_has_its_size_place_and_cuts() -> None:
    """A pitch traced on a map is measured, framed, named by the compass and cut."""
    result = read(
        pitch(
            floodlights=True,
            portable_goals=4,
            names={"east": "Clubhouse end", "north": "Hedge side"},
            cuts=["halves", "thirds", "halves"],
        )
    )
    assert not result.problems
    assert result.venue_key == "marsh-lane"
    (top,) = result.pitches
    assert (top.key, top.name, top.surface) == ("marsh-lane-top", "Top", "grass")
    assert (top.is_lit, top.is_indoor, top.portable_goals) == (True, False, 4)
    assert top.polygon.bounds == pytest.approx((0, 0, 100, 60), abs=0.02)
    assert top.frame is not None
    assert (top.frame.lon, top.frame.lat) == pytest.approx((HERE.lon, HERE.lat), abs=1e-6)
    assert top.frame.bearing_deg == pytest.approx(90, abs=0.01)
    assert top.edges.far == "Clubhouse end"
    assert top.edges.left == "Hedge side"
    assert [area.key for area in top.areas] == [
        "whole",
        "half-1",
        "half-2",
        "third-1",
        "third-2",
        "third-3",
    ]


def test_a_hall_is_given_by_its_size() -> None:
    """Length and width alone make a pitch without a place; a hall has light."""
    hall = read_one(pitch(length_m=40, width_m=20, indoor=True, names={"far": "Door end"}))
    assert hall.frame is None
    assert hall.polygon.bounds == (0, 0, 40, 20)
    assert (hall.is_indoor, hall.is_lit) == (True, True)
    assert (hall.edges.start, hall.edges.far) == ("Start end", "Door end")


@pytest.mark.parametrize(("bearing", "expected"), [(0, 0.0), (52.5, 52.5), (360, 0.0)])
def test_a_measured_pitch_may_have_a_place(bearing: float, expected: float) -> None:
    """With a corner and a bearing a measured pitch lies on the map, and can be added to."""
    corner = {"type": "Point", "coordinates": [HERE.lon, HERE.lat, 71.5]}
    top = read_one(
        pitch(corner, length_m=91.44, width_m=54.86, bearing_deg=bearing),
        feature("entrance", {"type": "Point", "coordinates": spot(0, 0)}, pitch="Top"),
    )
    assert top.frame == Frame(HERE.lon, HERE.lat, expected)
    assert top.polygon.bounds == (0, 0, 91.44, 54.86)
    assert top.entrance == pytest.approx((0, 0), abs=0.001)


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("", "not-json"),
        ("{", "not-json"),
        ("[" * 100_000, "not-json"),
        ("1" * 5000, "not-json"),
        ("[]", "not-geojson"),
        ("null", "not-geojson"),
        ('{"type": "Feature"}', "not-geojson"),
    ],
)
def test_a_file_that_is_no_geojson_is_told_as_such(text: str, code: str) -> None:
    """Other files, broken ones and absurdly nested ones give one problem for the whole file."""
    (problem,) = read_grounds(text, "g.geojson").problems
    assert (problem.where, problem.code) == ("g.geojson", code)


@pytest.mark.parametrize(
    ("members", "codes"),
    [
        ({"venue": None}, ["no-venue"]),
        ({"venue": "  "}, ["no-venue"]),
        ({"venue": 7}, ["no-venue"]),
        ({"features": {}}, ["no-features"]),
        ({"features": [None] * (MOST_FEATURES + 1)}, ["no-features"]),
        ({"features": []}, ["empty"]),
        ({"features": None, "venue": ""}, ["no-features", "no-venue"]),
    ],
)
def test_what_the_collection_lacks_is_told(members: dict[str, Any], codes: list[str]) -> None:
    """Venue and features must be there; without any pitch the file is of no use."""
    assert [problem.code for problem in read(pitch(), **members).problems] == codes


@pytest.mark.parametrize(
    ("thing", "place", "code", "advice"),
    [
        (None, "feature 1", "not-a-feature", "no GeoJSON Feature"),
        ({"type": "Feature", "geometry": 3}, "feature 1", "not-a-geometry", "object or null"),
        (pitch(role="lake"), f"{TOP}, property role", "unknown", "pitch, marking, area, goal"),
        (pitch(role=7), f"{TOP}, property role", "wrong-kind", "“7” will not do; write text"),
        (pitch(name=" "), "feature 1, property name", "missing", "“name” is missing"),
        (pitch(name=5), "feature 1, property name", "wrong-kind", "double quotes"),
        (pitch(surface=""), f"{TOP}, property surface", "missing", "“surface” is missing"),
        (pitch(surfaces="grass"), f"{TOP}, property surfaces", "unknown", "leave it out"),
        (pitch(floodlights="yes"), f"{TOP}, property floodlights", "wrong-kind", "true or false"),
        (pitch(indoor=1), f"{TOP}, property indoor", "wrong-kind", "true or false"),
        (pitch(names="north"), f"{TOP}, property names", "wrong-kind", '"north": "Clubhouse end"'),
        (pitch(names={"north": 1}), f"{TOP}, property names", "wrong-kind", "Write {"),
        (pitch(cuts="halves"), f"{TOP}, property cuts", "wrong-kind", "halves, thirds"),
        (pitch(cuts=[2]), f"{TOP}, property cuts", "wrong-kind", "halves, thirds"),
        (pitch(cuts=["fifths"]), TOP, "plan", "“fifths” is not a cut; write halves"),
        (pitch(goals={}), f"{TOP}, property goals", "wrong-kind", "list of objects"),
        (pitch(goals=[1]), f"{TOP}, property goals", "wrong-kind", "list of objects"),
        (pitch(goals=[{"at": "moon"}]), TOP, "plan", "is not a compass point"),
        (
            pitch(goals=[{"kind": "inflatable"}]),
            f"{TOP}, goals 1, property kind",
            "unknown",
            "fixed or portable",
        ),
        (
            pitch(portable_goals=1.5),
            f"{TOP}, property portable_goals",
            "not-a-number",
            "not whole; write one from 0 to 100",
        ),
        (
            pitch(obstacles=[{"x_m": 1, "y_m": 1, "length_m": 1}]),
            f"{TOP}, obstacles 1, property width_m",
            "not-a-number",
            "width_m is missing; write a number from 0.05 to 400",
        ),
        (
            pitch(markings=[{"name": "Mini", "length_m": 50, "width_m": "30"}]),
            f"{TOP}, markings 1, property width_m",
            "not-a-number",
            "“30” will not do",
        ),
        (
            pitch(markings=[{"name": "Mini", "length_m": 90, "width_m": 30}]),
            TOP,
            "plan",
            "Marking “Mini” reaches over the edge",
        ),
        (pitch(length_m=10**400, width_m=9), f"{TOP}, property length_m", "not-a-number", "large"),
        (pitch(length_m=float("nan"), width_m=9), f"{TOP}, property length_m", "not-a-number", "3"),
        (pitch(length_m=float("inf"), width_m=9), f"{TOP}, property length_m", "not-a-number", "3"),
        (pitch(length_m=True, width_m=9), f"{TOP}, property length_m", "not-a-number", "“true”"),
        (pitch(length_m=2.9, width_m=9), f"{TOP}, property length_m", "not-a-number", "3 to 400"),
        (pitch(length_m=40), f"{TOP}, property width_m", "not-a-number", "is missing"),
        (
            pitch(trace(rectangle(0, 0, 40, 20)), length_m=40, width_m=20, bearing_deg=1),
            TOP,
            "not-a-point",
            "Point at the corner",
        ),
        (
            pitch(POINT, length_m=40, width_m=20),
            f"{TOP}, property bearing_deg",
            "not-a-number",
            "bearing_deg is missing; write a number from 0 to 360",
        ),
        (pitch({"type": "Point"}), TOP, "no-outline", "Trace the pitch as a Polygon"),
        (pitch({"type": "Polygon"}), TOP, "outline", "rings of [longitude, latitude]"),
        (pitch({"type": "Polygon", "coordinates": [7]}), TOP, "outline", "rings of"),
        (
            pitch({"type": "Polygon", "coordinates": [[[0, 0], [1, 0], [1]]]}),
            TOP,
            "outline",
            "at least three corners",
        ),
        (
            pitch({"type": "Polygon", "coordinates": [[[0, 0], [0, 1], [10**400, 1], [0, 0]]]}),
            TOP,
            "outline",
            "rings of",
        ),
        (
            pitch({"type": "Polygon", "coordinates": [[[-33.8, 151.2]] * 4]}),
            TOP,
            "outline",
            "The corner -33.8, 151.2 has its latitude first; write longitude, then latitude",
        ),
        (
            pitch({"type": "Polygon", "coordinates": [[[523456.1, 245678.2]] * 4]}),
            TOP,
            "outline",
            "looks like metres of a map's grid; save the file in degrees (WGS 84, EPSG:4326)",
        ),
        (
            pitch({"type": "MultiPolygon", "coordinates": [[[[1, 2]] * 4]] * 2}),
            TOP,
            "several-parts",
            "a pitch is one piece of ground: trace each by itself",
        ),
        (
            pitch({"type": "Polygon", "coordinates": [[[1, 2]] * 4]}),
            TOP,
            "outline",
            "The outline encloses no ground",
        ),
        (pitch(trace(CROSSED)), TOP, "outline", "crosses itself; give the corners in order"),
        (
            pitch(trace(rectangle(0, 0, 900, 60))),
            TOP,
            "size",
            "measures 900.0 × 60.0 m; a pitch has 3 to 400 m each way (longitude comes first)",
        ),
        (pitch(trace(rectangle(0, 0, 60, 2))), TOP, "size", "60.0 × 2.0 m"),
        (pitch(corners_m=[[0, 0], [9, 9]]), f"{TOP}, property corners_m", "not-corners", "three"),
        (pitch(corners_m=["12", "34", "56"]), f"{TOP}, property corners_m", "not-corners", "[30"),
        (pitch(corners_m=7), f"{TOP}, property corners_m", "not-corners", "[[0, 0], [30, 0], …]"),
        (
            pitch(corners_m=[[0, 0], [float("inf"), 0], [9, 9]]),
            f"{TOP}, property corners_m",
            "not-corners",
            "three corners",
        ),
        (
            pitch(corners_m=[[0, 0], [30, 20], [30, 0], [0, 20]]),
            f"{TOP}, property corners_m",
            "outline",
            "crosses itself",
        ),
    ],
)
def test_a_faulty_pitch_is_told_with_what_to_write(
    thing: Any, place: str, code: str, advice: str
) -> None:
    """Feature and property are named, with one problem for one fault, and what will do instead."""
    result = read(thing)
    assert faults_of(result) == [(place, code)]
    assert advice in result.problems[0].message
    assert not result.pitches


def test_a_pitch_cut_into_too_many_pieces_is_a_fault() -> None:
    """More cells than the records can tell apart are refused with what to leave out."""
    markings = [
        {"name": f"M{n}", "count": 12, "length_m": 5, "width_m": 6 + n / 4} for n in range(8)
    ]
    result = read(pitch(markings=markings))
    assert faults_of(result) == [(TOP, "plan")]
    message = result.problems[0].message
    assert "at most 63 can be kept apart" in message
    told = re.search(r"others like them: (.*) \(then (\d+)\)", message)
    assert told is not None
    assert int(told[2]) <= 63
    rest = [marking for marking in markings if f"“{marking['name']}”" not in told[1]]
    assert 0 < len(rest) < len(markings)
    assert read(pitch(markings=rest)).problems == ()


def test_of_too_many_cuts_the_ones_that_would_do_are_named() -> None:
    """What may be left out alone stands with how many pieces are left, and does do."""
    markings = [
        {"name": "Small pitches", "count": 9, "length_m": 50, "width_m": 6},
        {"name": "Fives", "count": 5, "length_m": 40, "width_m": 9},
        {"name": "Wide", "count": 1, "length_m": 90, "width_m": 45, "lies": "along"},
    ]
    cuts = ["halves", "thirds", "quarters", "grid"]
    result = read(pitch(markings=markings, cuts=cuts))
    (problem,) = result.problems
    named = re.findall(r"“([^”]+)” \(then (\d+)\)", problem.message)
    assert named
    assert all(int(count) <= 63 for _name, count in named)
    for name, _count in named:
        fewer = [marking for marking in markings if marking["name"] != name]
        changed = pitch(markings=fewer, cuts=[cut for cut in cuts if cut != name])
        assert read(changed).problems == (), name


def test_every_fault_of_a_file_is_found_at_once() -> None:
    """One bad feature hides no other, and one bad property none beside it."""
    result = read(
        pitch(surface=None, floodlights="y", portable_goals=-1),
        pitch(name="Low", cuts=["sixths"]),
        pitch(name="Mid"),
        feature("entrance", None, pitch="Mid"),
        feature("goal", POINT, pitch="Nowhere"),
        "x",
    )
    assert sorted(faults_of(result)) == sorted(
        [
            ("feature 1 (“Top”), property surface", "missing"),
            ("feature 1 (“Top”), property floodlights", "wrong-kind"),
            ("feature 1 (“Top”), property portable_goals", "not-a-number"),
            ("feature 2 (“Low”)", "plan"),
            ("feature 4", "not-a-point"),
            ("feature 5, property pitch", "no-such-pitch"),
            ("feature 6", "not-a-feature"),
        ]
    )
    assert [found.name for found in result.pitches] == ["Mid"]


@pytest.mark.parametrize("second", ["Top", "TOP", "top!"])
def test_two_pitches_of_one_name_are_refused(second: str) -> None:
    """Names that differ in capitals or signs only would share one address."""
    result = read(pitch(), pitch(name=second))
    assert faults_of(result) == [(f"feature 2 (“{second}”), property name", "repeated")]


def test_two_areas_of_one_name_are_refused() -> None:
    """Each area needs a name of its own."""
    area = feature("area", trace(rectangle(0, 0, 20, 20)), pitch="Top", name="Patch")
    result = read(pitch(), area, area)
    assert [problem.code for problem in result.problems] == ["plan"]
    assert "give each a name of its own" in result.problems[0].message


@given(st.text())
def test_no_text_is_thrown_back(text: str) -> None:
    """Any text gives problems, not an exception."""
    assert read_grounds(text, "g.geojson").problems


NUMBERS = st.sampled_from([0, 1, -1, 3, 20, 52.9, 400, 401, 1e300, 10**400, math.nan, math.inf])
JSON_VALUES = st.recursive(
    st.none() | st.booleans() | NUMBERS | st.sampled_from(["", "Top", "north", "halves", "pitch"]),
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.dictionaries(st.sampled_from(["name", "at", "x_m", "length_m", "width_m"]), inner)
    ),
    max_leaves=8,
)
PROPERTIES = (
    "role", "name", "surface", "pitch", "length_m", "width_m", "bearing_deg", "corners_m",
    "cuts", "goals", "markings", "obstacles", "names", "indoor", "portable_goals", "height_m",
)  # fmt: skip


@given(
    st.sampled_from(["pitch", "area", "marking", "goal", "obstacle", "entrance"]),
    st.dictionaries(st.sampled_from(PROPERTIES), JSON_VALUES, max_size=5),
    JSON_VALUES
    | st.builds(
        lambda kind, at: {"type": kind, "coordinates": at},
        st.sampled_from(["Polygon", "Point", "LineString"]),
        JSON_VALUES | st.lists(st.lists(st.lists(NUMBERS, max_size=3), max_size=6), max_size=2),
    ),
)
def test_no_feature_is_thrown_back(role: str, properties: dict[str, Any], geometry: Any) -> None:
    """A feature with any values gives problems or a pitch with ground, whatever it holds."""
    odd = feature(role, geometry, **{"name": "Odd", "pitch": "Top", "surface": "x", **properties})
    result = read(pitch(), odd)
    assert result.problems or all(found.polygon.area > 0 for found in result.pitches)
