"""Cells of a traced outline: every fault at its field, in words."""

from __future__ import annotations

import pytest

from clubplanner.inputs.ground_files.traced_sheet import read_tracing, sheet_of_outline

SCALE = {"a_x": "100", "a_y": "100", "b_x": "300", "b_y": "100", "distance": "100"}
SQUARE = {
    f"corner_{n}_{axis}": value
    for n, pair in enumerate([("100", "100"), ("300", "100"), ("300", "228"), ("100", "228")], 1)
    for axis, value in zip("xy", pair, strict=True)
}


def test_a_rectangle_becomes_length_and_width() -> None:
    """To the decimetre, and so does one given with decimal commas."""
    read = read_tracing({**SCALE, **SQUARE, "corner_4_y": "228,4"})
    assert read.problems == ()
    assert read.outline is not None
    assert sheet_of_outline(read.outline) == {"length": "100", "width": "64.1"}


def test_another_outline_becomes_corners() -> None:
    """In the order in which it was traced."""
    notched = {**SQUARE, "corner_5_x": "100", "corner_5_y": "160", "corner_4_x": "200"}
    read = read_tracing({**SCALE, **notched})
    assert read.outline is not None
    assert "corner_5_y" in sheet_of_outline(read.outline)


@pytest.mark.parametrize(
    ("change", "where", "words"),
    [
        ({"a_x": ""}, "a_x", "Mark this point"),
        ({"b_y": "down"}, "b_y", "Mark this point"),
        ({"b_x": "1e9"}, "b_x", "Mark this point"),
        ({"distance": ""}, "distance", "how far the two points lie apart"),
        ({"distance": "nan"}, "distance", "how far the two points lie apart"),
        ({"distance": "0"}, "distance", "1 to 1000 m"),
        ({"distance": "1000"}, "distance", "1000.0 × 640.0 m"),
        ({"b_x": "100"}, "b_x", "are the same"),
        ({"corner_3_x": "100", "corner_4_x": "300"}, "corner_1_x", "crosses itself"),
        ({"corner_3_x": "200", "corner_3_y": "100", "corner_4_x": "150", "corner_4_y": "100"},
         "corner_1_x", "encloses no ground"),
        ({"corner_2_x": "", "corner_2_y": "", "corner_3_x": "", "corner_3_y": ""}, "corner_1_x",
         "at least three corners"),
        ({"corner_2_y": ""}, "corner_2_y", "Mark this point"),
    ],
)  # fmt: skip
def test_faults_stand_at_their_fields(change: dict[str, str], where: str, words: str) -> None:
    """Nothing is guessed, nothing is thrown back."""
    read = read_tracing({**SCALE, **SQUARE, **change})
    assert read.outline is None
    assert [problem.where for problem in read.problems] == [where]
    assert words in read.problems[0].message
