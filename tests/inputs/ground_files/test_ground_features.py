"""Pitches written as a grounds file, and read again."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from shapely import Polygon, box
from shapely.geometry import shape as read_shape

from clubplanner.domain.ground.grounds import Goal, GoalKind, Pitch, is_same_ground
from clubplanner.domain.ground.pitch_from_plan import build_pitch
from clubplanner.domain.ground.plans import PitchPlan
from clubplanner.geometry.frame import Frame
from clubplanner.inputs.ground_files.ground_features import (
    collection,
    pitch_in_metres,
    write_grounds,
)
from clubplanner.inputs.ground_files.grounds import read_grounds
from clubplanner.resources import invented_club_files

if TYPE_CHECKING:
    from pathlib import Path

FILES = [path for path in invented_club_files() if path.suffix == ".geojson"]
NEAR_M = 0.02


def _same(one: Pitch, other: Pitch, near: float) -> None:
    """Hold two pitches to be the same ground, corner for corner."""
    simple = ("key", "name", "surface", "is_lit", "is_indoor", "edges", "portable_goals")
    assert all(getattr(one, name) == getattr(other, name) for name in simple)
    assert [(a.key, a.name, a.cut, a.twelfths) for a in one.areas] == [
        (a.key, a.name, a.cut, a.twelfths) for a in other.areas
    ]
    for a, b in zip(one.areas, other.areas, strict=True):
        assert a.polygon.hausdorff_distance(b.polygon) <= near
    assert len(one.goals) == len(other.goals)
    for goal, twin in zip(one.goals, other.goals, strict=True):
        assert goal.mouth.hausdorff_distance(twin.mouth) <= near
        assert (goal.kind, goal.height_m) == (twin.kind, twin.height_m)
    assert len(one.obstacles) == len(other.obstacles)
    for shape, twin_shape in zip(one.obstacles, other.obstacles, strict=True):
        assert shape.hausdorff_distance(twin_shape) <= near
    assert (one.entrance is None) == (other.entrance is None)


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_rings_run_against_the_clock(path: Path) -> None:
    """Outer rings follow the right-hand rule (RFC 7946, 3.1.6), those of markings and areas too."""
    read = read_grounds(path.read_text("utf-8"), path.name)
    features = json.loads(write_grounds("Marsh Lane", read.pitches))["features"]
    shapes = [read_shape(one["geometry"]) for one in features if one["geometry"]]
    polygons = [one for one in shapes if isinstance(one, Polygon)]
    assert all(polygon.exterior.is_ccw for polygon in polygons)
    assert not any(ring.is_ccw for polygon in polygons for ring in polygon.interiors)


def _known(*, frame: Frame | None, polygon: Polygon) -> Pitch:
    return build_pitch(
        PitchPlan(
            name='The "Back" <field>',
            venue_key="marsh-lane",
            surface="grass",
            is_lit=True,
            is_indoor=False,
            polygon=polygon,
            frame=frame,
            edge_names={"start": "Hedge end", "left": "River side"},
            cuts=("thirds",),
            drawn=(("Corner", box(0, 0, 12, 10)),),
            standing_goals=(Goal(0.0, 20.0, 90.0, 3.66, 1.83, GoalKind.PORTABLE),),
            obstacles=(box(30, 30, 32, 33),),
            portable_goals=3,
            entrance=(4.5, -1.0),
        )
    )


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_the_invented_club_reads_back_as_it_was(path: object) -> None:
    """Every pitch of the demo, traced or measured, written and read."""
    read = read_grounds(path.read_text("utf-8"), "first.geojson")  # type: ignore[attr-defined]
    text = write_grounds("Osier Lane", read.pitches)
    again = read_grounds(text, "second.geojson")
    assert again.problems == ()
    for one, other in zip(read.pitches, again.pitches, strict=True):
        _same(replace(one, key=other.key), other, NEAR_M)
        assert is_same_ground(one, other)
        assert not is_same_ground(one, replace(other, surface="sand"))
        assert not is_same_ground(one, replace(other, areas=other.areas[:-1]))
        assert not is_same_ground(one, replace(other, entrance=(1.0, 2.0)))


@pytest.mark.parametrize(
    ("frame", "polygon"),
    [
        (None, box(0, 0, 60, 40)),
        (None, Polygon([(0, 0), (60, 0), (60, 25), (40, 40), (0, 40)])),
        (Frame(-2.63, 52.3, 200.0), box(0, 0, 60, 40)),
        (Frame(-2.63, 52.3, 37.5), box(0, 0, 40, 60)),
        (
            Frame(-2.63, 52.3, 37.5),
            Polygon([(0, 0), (60, 0), (60, 40), (0, 40)], [[(50, 5), (52, 5), (52, 8), (50, 8)]]),
        ),
    ],
)
def test_a_pitch_in_metres_reads_back_exactly(frame: Frame | None, polygon: Polygon) -> None:
    """Whichever way it lies, with a hole, or nowhere in particular."""
    pitch = _known(frame=frame, polygon=polygon)
    read = read_grounds(collection("Marsh Lane", [pitch_in_metres(pitch)]), "x.geojson")
    assert read.problems == ()
    _same(pitch, read.pitches[0], 0.0015)
    assert read.pitches[0].frame == frame
    assert read.pitches[0].entrance == pitch.entrance
    again = read_grounds(write_grounds("Marsh Lane", [pitch]), "x.geojson")
    assert again.problems == ()
    _same(pitch, again.pitches[0], NEAR_M)


def test_a_pitch_whose_place_is_known_is_drawn_on_a_map() -> None:
    """Other programs find polygons in degrees, closed rings, longitude first."""
    data = json.loads(
        write_grounds("X", [_known(frame=Frame(-2.63, 52.3, 37.5), polygon=box(0, 0, 60, 40))])
    )
    roles = [feature["properties"]["role"] for feature in data["features"]]
    assert roles == ["pitch", "area", "goal", "obstacle", "entrance"]
    ring = data["features"][0]["geometry"]["coordinates"][0]
    assert ring[0] == ring[-1]
    assert all(-2.64 < lon < -2.62 and 52.29 < lat < 52.31 for lon, lat in ring)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"corners_m": [[0, 0], [10, 10], [10, 0], [0, 10]]}, "crosses itself"),
        ({"corners_m": "square"}, "at least three corners"),
        ({"goals": [{"x_m": 90, "y_m": 20}]}, "stands off the pitch"),
        ({"goals": [{"x_m": "a", "y_m": 20}]}, "x_m"),
        ({"areas": [{"name": "A", "corners_m": [[0, 0], [90, 0], [0, 9]]}]}, "over the edge"),
        ({"areas": [{"corners_m": [[0, 0], [9, 0], [0, 9]]}]}, "“name” is missing"),
        ({"obstacles": [{"corners_m": [[0, 0], [1, 1]]}]}, "at least three corners"),
        ({"entrance_m": [1]}, "two numbers"),
        ({"markings": [{"name": "M", "corners_m": [[0, 0]]}]}, "at least three corners"),
    ],
)
def test_faults_in_metres_are_told(change: dict[str, object], words: str) -> None:
    """Each names its property and says what to write."""
    feature = pitch_in_metres(_known(frame=None, polygon=box(0, 0, 60, 40)))
    feature["properties"] |= change
    if "corners_m" in change:
        del feature["properties"]["length_m"], feature["properties"]["width_m"]
    read = read_grounds(collection("X", [feature]), "x.geojson")
    assert any(words in problem.message for problem in read.problems), read.problems
