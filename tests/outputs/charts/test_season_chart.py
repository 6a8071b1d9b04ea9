"""Sessions on the curve of light: where each lies, and what lies behind."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from xml.etree import ElementTree as ET

import pytest
import shapely

from clubplanner.outputs.charts.clock_sheet import AXIS, EDGE, HOUR, MONTHS
from clubplanner.outputs.charts.season_chart import (
    BarLook,
    DrawnSeason,
    SeasonBar,
    draw_season,
)
from clubplanner.outputs.charts.weeks.week_shapes import DARK_FILL
from tests.outputs.clear_drawings import faults_of, look_at
from tests.outputs.example_drawings import SVG, read_path

FIRST = date(2026, 9, 7)
DAYS = 200
BARS = tuple(
    SeasonBar(FIRST + timedelta(days=7 * n), 18 * 60, 19 * 60 + 15, 1 / 3, look, f"bar {n}")
    for n, look in enumerate(BarLook)
)
SEASON = DrawnSeason(
    "U12 Kestrels",
    "Their sessions.",
    FIRST,
    FIRST + timedelta(days=DAYS - 1),
    tuple(20 * 60 - n for n in range(DAYS)),
    BARS,
)


def _bars(drawing: str) -> list[tuple[float, float, float, float]]:
    return [
        shapely.Polygon(read_path(node[1].attrib["d"])[0]).bounds
        for node in ET.fromstring(drawing).iter(f"{SVG}g")  # noqa: S314 - our own drawing
        if len(node) == 2 and node[0].tag == f"{SVG}title"
    ]


def test_every_bar_lies_at_its_date_and_time() -> None:
    """Dates to the right, the clock up: left is its date, foot its start, height its length."""
    day = (1160.0 - AXIS - EDGE) / DAYS
    for n, bounds in enumerate(_bars(draw_season(SEASON, 1160.0))):
        assert bounds[0] == pytest.approx(AXIS + 7 * n * day, abs=0.1)
        assert bounds[3] == pytest.approx(MONTHS + 3 * HOUR, abs=0.1)  # the clock: 17 to 21
        assert bounds[3] - bounds[1] == pytest.approx(1.25 * HOUR, abs=0.2)


def test_turned_it_is_the_same_with_the_sides_changed() -> None:
    """On a narrow screen dates run down and the clock to the right."""
    wide = 318.0 - AXIS - EDGE
    bounds = _bars(draw_season(SEASON, 318.0, is_turned=True))
    assert bounds[0][0] == pytest.approx(AXIS + wide / 4, abs=0.1)
    assert [b[1] for b in bounds] == sorted(b[1] for b in bounds)


def test_a_larger_part_of_the_pitch_is_a_broader_bar() -> None:
    """A whole pitch is more than twice as broad as a quarter."""
    bars = tuple(replace(bar, share=share) for bar, share in zip(BARS, (0.25, 1.0), strict=False))
    season = replace(SEASON, bars=bars, last=FIRST + timedelta(days=27), dark_from=(None,) * 28)
    small, large = (b[2] - b[0] for b in _bars(draw_season(season, 1160.0)))
    assert large > 2 * small


def test_it_is_dark_from_the_minute_of_each_date_on() -> None:
    """The dark ground has the area of all minutes after dusk, and none where it never gets dark."""
    day, minute = (1160.0 - AXIS - EDGE) / DAYS, HOUR / 60
    root = ET.fromstring(draw_season(SEASON, 1160.0))  # noqa: S314
    paths = [n for n in root.iter(f"{SVG}path") if n.get("fill") == DARK_FILL]
    rings = [shapely.Polygon(ring) for ring in read_path(paths[0].attrib["d"])]
    expected = sum(21 * 60 - max(17 * 60, dusk or 0) for dusk in SEASON.dark_from) * day * minute
    assert sum(ring.area for ring in rings) == pytest.approx(expected, rel=0.01)
    light = replace(SEASON, dark_from=(None,) * DAYS)
    assert draw_season(light, 1160.0).count(f'fill="{DARK_FILL}"') == 1  # in the key


@pytest.mark.parametrize("is_turned", [False, True])
@pytest.mark.parametrize("days", [1, 20, 47, 200, 400])
def test_words_keep_clear(days: int, *, is_turned: bool) -> None:
    """A day or a year: no word lies over anything, and none is under 11 units."""
    season = replace(
        SEASON,
        last=FIRST + timedelta(days=days - 1),
        dark_from=(18 * 60,) * days,
        bars=BARS[: max(1, days // 7)],
    )
    drawing = draw_season(season, 318.0 if is_turned else 1160.0, is_turned=is_turned)
    assert faults_of(drawing) == []
    assert min(word.size for word in look_at(drawing).words) >= 11


def test_looks_differ_without_colour() -> None:
    """On, match, moved and off differ in fill by lightness or in stroke; each is in the key."""
    drawing = draw_season(SEASON, 1160.0)
    words = {word.words for word in look_at(drawing).words}
    assert {"training", "match", "moved", "off", "too dark without lamps"} <= words
    assert drawing.count("stroke-dasharray") == 2
