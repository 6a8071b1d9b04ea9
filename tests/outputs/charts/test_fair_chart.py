"""Pictures of fairness: how long a bar is, what tells bars apart, where the dots lie."""

from __future__ import annotations

import re
from dataclasses import replace
from xml.etree import ElementTree as ET

import pytest

from clubplanner.outputs.charts.fair_chart import (
    FILL,
    FRAME,
    MOST_DRAWN,
    FairRow,
    draw_fair,
    draw_spread,
)
from tests.outputs.clear_drawings import look_at
from tests.outputs.example_drawings import SVG

ROW = FairRow("U12 Kestrels", "6.0 of 12.0 h", 0.5, 0.5, 0.25, 0.5, "+7")


def _bars(drawing: str, **attributes: str) -> list[tuple[float, float]]:
    """Return left and right of each box with these attributes, the key aside."""
    root = ET.fromstring(drawing)  # noqa: S314 - our own drawing
    found = [
        (float(node.attrib["x"]), float(node.attrib["x"]) + float(node.attrib["width"]))
        for node in root.iter(f"{SVG}rect")
        if attributes.items() <= node.attrib.items()
    ]
    return [box for box in found if box[1] - box[0] != 18]


@pytest.mark.parametrize("is_narrow", [False, True])
def test_a_frame_is_filled_as_far_as_it_had_what_it_asked_for(*, is_narrow: bool) -> None:
    """Half of what it asked for is half of the frame; a quarter of good ground, of the other."""
    drawing = draw_fair([ROW], "t", "s", is_narrow=is_narrow)
    hours, ground = _bars(drawing, stroke=FRAME)
    had, good = _bars(drawing, fill=FILL)
    assert had[1] - had[0] == pytest.approx((hours[1] - hours[0]) / 2, abs=0.2)
    assert good[1] - good[0] == pytest.approx((ground[1] - ground[0]) / 4, abs=0.2)


def test_who_had_less_than_an_even_share_is_hatched() -> None:
    """No fill then, so that it is told in grey; a hundredth less is not less."""
    under = replace(ROW, had=0.4, good=None, bad=None)
    assert under.is_under
    assert _bars(draw_fair([under], "t", "s"), fill=FILL) == []
    assert not replace(ROW, had=0.495).is_under


def test_far_more_than_it_asked_for_stays_on_the_sheet() -> None:
    """The bar ends where it does at a quarter more."""
    ends = [
        _bars(draw_fair([replace(ROW, had=part)], "t", "s"), fill=FILL)[0][1]
        for part in (1.0, MOST_DRAWN, 7.0)
    ]
    assert ends[0] < ends[1] == ends[2]


def test_who_asked_for_nothing_has_words_alone() -> None:
    """Neither frame nor bar of hours; a club without past has no column for it."""
    idle = FairRow("Veterans", "2.0 h, asked for nothing", None, None, None, None, "")
    drawing = draw_fair([idle], "t", "s")
    assert _bars(drawing, stroke=FRAME) == []
    words = {word.words for word in look_at(drawing).words}
    assert "2.0 h, asked for nothing" in words
    assert not {"earlier", "ground", "good ground"} & words


@pytest.mark.parametrize("count", [1, 40, 200, 2_000])
def test_every_squad_is_a_dot_where_it_stands(count: int) -> None:
    """However many: the drawing keeps its size, and dots on one place are heaped."""
    parts = [(n * 7 % 11) / 10 for n in range(count)]
    drawing = draw_spread(parts, "t", "s")
    root = ET.fromstring(drawing)  # noqa: S314 - our own drawing
    (trail,) = (path.attrib["d"] for path in root.iter(f"{SVG}path"))
    dots = [(float(x), float(y)) for x, y in re.findall(r"M([\d.]+) ([\d.]+)h0", trail)]
    assert len(dots) == count
    assert len(set(dots)) == count or count > 200, "finer than a tenth where they are thousands"
    assert len(drawing) < 2_000 + 16 * count
    assert all(0 < y < 118 - 26 for _x, y in dots)
    for part in (0.0, 1.0):
        x = 14 + part * (360 - 28)
        assert sum(dot[0] == pytest.approx(x, abs=0.1) for dot in dots) == parts.count(part)
