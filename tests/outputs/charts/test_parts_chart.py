"""Bars with parts: as long as what they stand for, told apart without colour."""

from __future__ import annotations

from xml.etree import ElementTree as ET

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clubplanner.outputs.charts.parts_chart import (
    FILL,
    INK,
    PALE,
    SIDE,
    WIDTH,
    Look,
    PartLook,
    PartsBar,
    draw_parts,
)

LOOKS = (
    PartLook("Training", Look.FILLED),
    PartLook("Matches", Look.HATCHED),
    PartLook("Hires", Look.PALE),
)
ROOM = WIDTH - 2 * SIDE


def rectangles(drawing: str) -> list[dict[str, str]]:
    """Return the rectangles of a drawing, without its ground."""
    found = ET.fromstring(drawing).iter("{http://www.w3.org/2000/svg}rect")  # noqa: S314 - our own drawing
    return [dict(one.attrib) for one in found][1:]


def test_parts_are_as_long_as_their_figures() -> None:
    """The longest bar is the whole width; the key has each part once."""
    bars = [PartsBar("U12", "4 h", (1.0, 1.0, 2.0)), PartsBar("U14", "1 h", (1.0, 0.0, 0.0))]
    drawn = rectangles(draw_parts(bars, LOOKS, "Hours", "U12: 4 h; U14: 1 h"))
    key, parts = drawn[:3], drawn[3:]
    assert [one["fill"] for one in key] == [FILL, "#ffffff", PALE]
    widths = [float(one["width"]) for one in parts]
    assert widths == pytest.approx([ROOM / 4, ROOM / 4, ROOM / 2, ROOM / 4], abs=0.1)
    assert [one["fill"] for one in parts] == [FILL, "#ffffff", PALE, FILL]


def test_a_frame_stands_for_what_a_bar_is_measured_against() -> None:
    """It may be longer than the bar, and is drawn round it."""
    drawn = rectangles(
        draw_parts(
            [PartsBar("U12", "1 of 2 h", (1.0,), frame=2.0)],
            LOOKS[:1],
            "Asked for",
            "U12: 1 of 2 h",
            frame_words="Asked for",
        )
    )
    bar, frame = drawn[-2:]
    assert float(frame["width"]) == pytest.approx(2 * float(bar["width"]), abs=0.2)
    assert (frame["fill"], frame["stroke"]) == ("none", INK)


def test_words_of_names_and_figures_are_in_the_drawing() -> None:
    """A name that is too long is cut; signs of markup are written as they are."""
    long = "The friends of the old ground by the river and of its pavilion <b> & more of it yet"
    drawing = draw_parts([PartsBar(long, "12,345.67 h", (1.0,))], LOOKS[:1], "Hours", "…")
    text = "".join(ET.fromstring(drawing).itertext())  # noqa: S314 - our own drawing
    assert "12,345.67 h" in text
    assert "The friends of the old ground" in text


@given(
    st.lists(
        st.tuples(st.text(max_size=30), st.lists(st.floats(0, 1e6), min_size=3, max_size=3)),
        min_size=1,
        max_size=8,
    )
)
def test_nothing_is_drawn_off_the_sheet(rows: list[tuple[str, list[float]]]) -> None:
    """Whatever is drawn, nothing or very much."""
    bars = [PartsBar(name, "1 h", (p[0], p[1], p[2])) for name, p in rows]
    for one in rectangles(draw_parts(bars, LOOKS, "Hours", "Hours")):
        assert float(one["x"]) + float(one["width"]) <= WIDTH - SIDE + 0.2
