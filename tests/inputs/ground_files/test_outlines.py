"""Outlines of pitches: traced, in metres, with holes, in one part of many."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clubplanner.geometry.shapes import as_polygon, rectangle
from tests.inputs.grounds_file import feature, pitch, read, read_one, trace


def test_a_hall_in_the_shape_of_an_l_keeps_its_corners() -> None:
    """Corners in metres make any outline; it is moved so that nothing is negative."""
    corners = [[-10, 5], [14, 5], [14, 15], [4, 15], [4, 23], [-10, 23]]
    hall = read_one(pitch(corners_m=corners, indoor=True, cuts=["halves"]))
    assert hall.polygon.bounds == (0, 0, 24, 18)
    assert hall.polygon.area == pytest.approx(24 * 10 + 14 * 8)
    assert [area.area_m2 for area in hall.areas[1:]] == pytest.approx([12 * 18, 12 * 10 + 2 * 8])


def test_an_outline_in_several_parts_that_has_only_one_is_that_one() -> None:
    """Map programs write a single outline as a MultiPolygon (RFC 7946, section 3.1.7)."""
    shape = trace(rectangle(0, 0, 100, 60))
    several = {"type": "MultiPolygon", "coordinates": [shape["coordinates"]]}
    patch = trace(rectangle(10, 10, 20, 20))
    parts = {"type": "MultiPolygon", "coordinates": [patch["coordinates"]]}
    top = read_one(pitch(several), feature("area", parts, pitch="Top", name="Patch"))
    assert top.polygon.equals(read_one(pitch(shape)).polygon)
    assert top.area("drawn-patch").polygon.area == pytest.approx(400, abs=1)


def test_holes_in_a_traced_pitch_stay_holes() -> None:
    """An inner ring is ground that cannot be used."""
    shape = as_polygon(rectangle(0, 0, 100, 60).difference(rectangle(40, 20, 10, 10)))
    top = read_one(pitch(trace(shape)))
    assert top.polygon.area == pytest.approx(5900, abs=6)


@given(st.lists(st.tuples(st.integers(-300, 700), st.integers(-300, 700)), min_size=3, max_size=7))
def test_any_outline_in_metres_is_a_pitch_or_a_problem(corners: list[tuple[int, int]]) -> None:
    """Corners in any order give a valid outline that starts at nothing, or are told."""
    result = read(pitch(corners_m=[[x / 10, y / 10] for x, y in corners], cuts=["halves"]))
    assert len(result.pitches) + len(result.problems) == 1
    for found in result.pitches:
        assert found.polygon.is_valid
        assert found.polygon.bounds[:2] == pytest.approx((0, 0), abs=1e-9)
