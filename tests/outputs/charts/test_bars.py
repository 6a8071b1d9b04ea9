"""The picture of how well squads are served."""

from __future__ import annotations

import xml.etree.ElementTree as ET

from clubplanner.outputs.charts.bars import Bar, draw_bars
from tests.other_process import said_by

SVG = "{http://www.w3.org/2000/svg}"
BARS = (Bar("U9 <Wrens> & co", 40, is_low=True), Bar("Men’s First", 100, is_low=False))


def test_every_bar_has_name_number_and_length() -> None:
    """Lengths are in proportion; names are escaped; the words for the blind are there."""
    root = ET.fromstring(draw_bars(BARS, "How well", "In words"))  # noqa: S314 - our own
    texts = [text.text for text in root.iter(f"{SVG}text")]
    assert {"U9 <Wrens> & co", "40 %", "Men’s First", "100 %"} <= set(texts)
    title, summary = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert title is not None
    assert summary is not None
    assert (title.text, summary.text) == ("How well", "In words")
    fills = [rect for rect in root.iter(f"{SVG}rect") if rect.get("height") == "12"]
    full = float(fills[0].get("width", "0"))
    assert float(fills[1].get("width", "0")) == 0.4 * full
    assert float(fills[3].get("width", "0")) == full


def test_low_bars_are_told_apart_without_colour() -> None:
    """A low bar is hatched and outlined, another one filled."""
    root = ET.fromstring(draw_bars(BARS, "a", "b"))  # noqa: S314 - our own
    slanted = [line for line in root.iter(f"{SVG}line") if line.get("x1") != line.get("x2")]
    assert len(slanted) > 10
    only = ET.fromstring(draw_bars(BARS[1:], "a", "b"))  # noqa: S314 - our own
    assert [line for line in only.iter(f"{SVG}line") if line.get("x1") != line.get("x2")] == []


def test_the_same_bars_give_the_same_bytes() -> None:
    """Nothing but its input goes into the picture."""
    code = "from tests.outputs.charts.test_bars import *; print(draw_bars(BARS, 'a', 'b'))"
    drawn = {said_by(code, seed) for seed in (1, 2)}
    assert drawn == {f"{draw_bars(BARS, 'a', 'b')}\n"}
