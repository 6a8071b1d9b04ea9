"""What belongs to a pitch: obstacles, areas, markings, goals, the entrance."""

from __future__ import annotations

from typing import Any

import pytest

from clubplanner.domain.ground.grounds import GoalKind, goals_on
from clubplanner.geometry.shapes import rectangle
from tests.inputs.grounds_file import (
    CROSSED,
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


def test_what_belongs_to_a_pitch_is_attached_to_it() -> None:
    """Obstacles, areas, markings, goals and the entrance land in metres of the pitch's frame."""
    top = read_one(
        feature("entrance", {"type": "Point", "coordinates": spot(95, 0)}, pitch="Top"),
        feature("obstacle", trace(rectangle(0, 0, 4, 3)), pitch="Top", name="Pump house"),
        pitch(
            obstacles=[{"name": "Pillar", "x_m": 50, "y_m": 30, "length_m": 0.4, "width_m": 0.5}],
            goals=[{"at": "both ends"}],
        ),
        feature("area", trace(rectangle(60, 20, 30, 25)), pitch="Top", name="Far patch"),
        feature(
            "marking",
            trace(rectangle(10, 5, 30, 50)),
            pitch="Top",
            name="Mini",
            goals=[{"width_m": 3.66, "height_m": 1.83, "kind": "portable"}],
        ),
        feature(
            "goal",
            {"type": "LineString", "coordinates": [spot(50, 20), spot(50, 25)]},
            pitch="Top",
            height_m=2,
            kind="portable",
        ),
    )
    assert top.entrance == pytest.approx((95, 0), abs=0.02)
    bounds = sorted(tuple(round(v, 1) + 0.0 for v in shape.bounds) for shape in top.obstacles)
    assert bounds == [(0, 0, 4, 3), (50, 30, 50.4, 30.5)]
    assert {area.key: area.name for area in top.areas} == {
        "whole": "Whole of Top",
        "marking-mini": "Mini",
        "drawn-far-patch": "Far patch",
    }
    assert top.area("drawn-far-patch").area_m2 == pytest.approx(750, abs=2)
    both, standing, mini = top.goals[:2], top.goals[2], top.goals[3:]
    assert [(goal.width_m, goal.height_m, goal.kind) for goal in both] == [
        (7.32, 2.44, GoalKind.FIXED)
    ] * 2
    assert (standing.x_m, standing.y_m) == pytest.approx((50, 22.5), abs=0.02)
    assert (standing.width_m, standing.height_m) == pytest.approx((5, 2), abs=0.02)
    assert standing.along_deg == pytest.approx(90, abs=0.5)
    assert [goal.kind for goal in mini] == [GoalKind.PORTABLE] * 2
    assert len(goals_on(top.area("marking-mini"), top.goals)) == 2


@pytest.mark.parametrize(
    ("at", "place", "along"),
    [
        ("east", (100, 30), 90),
        ("Clubhouse end", (100, 30), 90),
        ("start", (0, 30), 90),
        ("south", (50, 0), 0),
        ("left", (50, 60), 0),
    ],
)
def test_a_goal_stands_at_the_edge_that_is_named(
    at: str, place: tuple[float, float], along: float
) -> None:
    """Compass points, local names and plain words all lead to the middle of an edge."""
    top = read_one(
        pitch(names={"east": "Clubhouse end"}, goals=[{"at": at, "width_m": 5, "height_m": 2}])
    )
    (goal,) = top.goals
    assert (goal.x_m, goal.y_m) == pytest.approx(place, abs=0.02)
    assert goal.along_deg == along


def test_measured_markings_are_laid_out() -> None:
    """Smaller pitches by count and size are numbered and lie across or along."""
    across = {"name": "Mini", "count": 2, "length_m": 50, "width_m": 30, "goals": [{"width_m": 3}]}
    along = {"name": "Nine", "length_m": 73, "width_m": 46, "lies": "along"}
    top = read_one(pitch(markings=[across, along]))
    sizes = {a.key: (round(a.length_m), round(a.width_m)) for a in top.areas}
    assert sizes["marking-mini-1"] == sizes["marking-mini-2"] == (30, 50)
    assert sizes["marking-nine"] == (73, 46)
    assert [goal.along_deg for goal in top.goals] == [0.0] * 4


@pytest.mark.parametrize(
    ("part", "place", "code", "advice"),
    [
        (
            feature("area", trace(rectangle(0, 0, 9, 9)), name="Patch"),
            ", property pitch",
            "missing",
            "“pitch” is missing",
        ),
        (
            feature("area", trace(rectangle(0, 0, 9, 9)), name="Patch", pitch=["Top"]),
            ", property pitch",
            "wrong-kind",
            "double quotes",
        ),
        (
            feature("area", trace(rectangle(0, 0, 9, 9)), name="Patch", pitch="Tip"),
            ", property pitch",
            "no-such-pitch",
            "called “Tip”; write one of “Top”",
        ),
        (
            feature("goal", POINT, pitch="Hall"),
            ", property pitch",
            "no-such-pitch",
            "No traced pitch of this file is called “Hall”; write one of “Top”",
        ),
        (
            feature("area", trace(rectangle(0, 0, 9, 9)), pitch="Top"),
            ", property name",
            "missing",
            "The area has no name",
        ),
        (feature("area", POINT, name="A", pitch="Top"), "", "not-a-polygon", "traced as a Polygon"),
        (
            feature("marking", trace(CROSSED), name="A", pitch="Top"),
            "",
            "outline",
            "crosses itself",
        ),
        (
            feature("obstacle", trace(rectangle(0, 0, 0.05, 0.05)), pitch="Top"),
            "",
            "outline",
            "too small to be drawn",
        ),
        (feature("entrance", None, pitch="Top"), "", "not-a-point", "[longitude, latitude]"),
        (
            feature("entrance", {"type": "Point", "coordinates": [200, 0]}, pitch="Top"),
            "",
            "not-a-point",
            "An entrance is a Point",
        ),
        (feature("goal", POINT, pitch="Top"), "", "not-a-line", "from post to post"),
        (
            feature("goal", {"type": "LineString", "coordinates": [spot(0, 0)] * 3}, pitch="Top"),
            "",
            "not-a-line",
            "LineString",
        ),
        (
            feature(
                "goal",
                {"type": "LineString", "coordinates": [spot(0, 0), spot(0, 30)]},
                pitch="Top",
            ),
            "",
            "size",
            "measures 30.00 m from post to post; a goal has 0.5 to 12 m",
        ),
        (
            feature("entrance", POINT, pitch="Top", pitches="Low"),
            ", property pitches",
            "unknown",
            "leave it out",
        ),
    ],
)
def test_a_faulty_part_of_a_pitch_is_told_with_what_to_write(
    part: Any, place: str, code: str, advice: str
) -> None:
    """What belongs to a pitch has its faults told at its own feature."""
    hall = pitch(name="Hall", length_m=40, width_m=20)
    result = read(pitch(), hall, part)
    named = " (“Patch”)" if part["properties"].get("name") == "Patch" else ""
    named = " (“A”)" if part["properties"].get("name") == "A" else named
    assert faults_of(result) == [(f"feature 3{named}{place}", code)]
    assert advice in result.problems[0].message


def test_an_area_over_the_edge_is_a_fault_of_the_pitch() -> None:
    """What reaches off the pitch is told, with the area's name."""
    area = feature("area", trace(rectangle(90, 0, 20, 20)), pitch="Top", name="Patch")
    result = read(pitch(), area)
    assert faults_of(result) == [(TOP, "plan")]
    assert result.problems[0].message == "Area “Patch” reaches over the edge of Top."


def test_the_parts_of_a_faulty_pitch_are_not_called_lost() -> None:
    """A pitch with a fault is told once; what belongs to it is not said to have no pitch."""
    result = read(pitch(surface=""), feature("entrance", POINT, pitch="Top"))
    assert faults_of(result) == [(f"{TOP}, property surface", "missing")]
