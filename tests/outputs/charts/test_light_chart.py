"""A year of light with its sessions: where each lies, what tells them apart, what can be chosen."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise
from typing import Any
from xml.etree import ElementTree as ET

import pytest
import shapely

from clubplanner.outputs.charts.clock_sheet import AXIS, EDGE, HOUR
from clubplanner.outputs.charts.light_chart import Burning, LightYear, LitMonth, draw_light_year
from clubplanner.outputs.drawings.plan_values import INK, OWN_FILL
from tests.outputs.clear_drawings import faults_of, look_at
from tests.outputs.example_drawings import SVG, read_path

FIRST = date(2026, 9, 1)
DAYS = 365
CHANGE = 54
"""The clocks go back after so many dates, on 25 October."""
WIDE = 1160.0
DAY = (WIDE - AXIS - EDGE) / DAYS
SUNSET = tuple(19 * 60 - n - 60 * (n >= CHANGE) for n in range(DAYS // 4)) + (18 * 60,) * (
    DAYS - DAYS // 4
)
NOVEMBER = date(2026, 11, 4)
YEAR = LightYear(
    title="The year's light",
    summary="In words.",
    first=FIRST,
    last=FIRST + timedelta(days=DAYS - 1),
    sunset=SUNSET,
    dusk=tuple(minute + 34 for minute in SUNSET),
    dark_from=tuple(minute + 10 for minute in SUNSET),
    ends=((FIRST, 18 * 60), (FIRST, 11 * 60)),
    lamps=(Burning(NOVEMBER, 17 * 60, 19 * 60),),
    dark=(Burning(NOVEMBER + timedelta(days=1), 17 * 60 + 10, 17 * 60 + 15),),
    lights_off_min=21 * 60,
    today=date(2027, 1, 10),
    months=(LitMonth(FIRST, "September 2026", "?from=2026-09-01"),),
)


def _paths(drawing: str, **attributes: str) -> list[tuple[Any, ...]]:
    """Return the runs of points of each path that has these attributes."""
    root = ET.fromstring(drawing)  # noqa: S314 - our own drawing
    wanted = {name.replace("_", "-"): value for name, value in attributes.items()}
    return [
        read_path(node.attrib["d"])
        for node in root.iter(f"{SVG}path")
        if wanted.items() <= node.attrib.items()
    ]


def test_the_curve_steps_where_the_clocks_change() -> None:
    """An hour straight down between two dates, and nowhere else more than a few minutes."""
    (line,) = _paths(draw_light_year(YEAR, WIDE), stroke_width="1.4", fill="none")[0]
    upright = [
        (a[0], b[1] - a[1]) for a, b in pairwise(line) if a[0] == b[0] and abs(b[1] - a[1]) > 2
    ]
    assert upright[0][0] == pytest.approx(AXIS + CHANGE * DAY, abs=0.1)
    assert upright[0][1] == pytest.approx(61 / 60 * HOUR, abs=0.3)  # down the page is earlier


def test_bars_behind_the_curve_lie_at_their_dates_and_hours() -> None:
    """Under floodlights from dusk to the end; what ends in the dark is long enough to be seen."""
    drawing = draw_light_year(YEAR, WIDE)
    lit = shapely.Polygon(_paths(drawing, fill=OWN_FILL)[0][0]).bounds
    n = (NOVEMBER - FIRST).days
    assert AXIS + n * DAY < lit[0] < lit[2] < AXIS + (n + 1) * DAY
    assert lit[3] - lit[1] == pytest.approx(2 * HOUR, abs=0.2)
    dark = shapely.Polygon(_paths(drawing, fill=INK)[0][0]).bounds
    assert dark[0] > AXIS + (n + 1) * DAY
    assert dark[3] - dark[1] > 8


def test_what_ends_in_the_dark_is_told_from_the_rest_without_colour() -> None:
    """Solid ink against pale fill, and both against a dash; each is named in the key."""
    words = {word.words for word in look_at(draw_light_year(YEAR, WIDE)).words}
    assert {"ends in the light", "under floodlights", "ends in the dark", "sunset"} <= words
    assert {"end of civil twilight", "too dark without lamps", "today, 10 Jan"} <= words
    assert "floodlights out, 21:00" in words
    light = replace(YEAR, dark=(), lamps=(), today=None, lights_off_min=None)
    few = {word.words for word in look_at(draw_light_year(light, WIDE)).words}
    assert "ends in the dark" not in few
    assert not any("floodlights" in word or "today" in word for word in few)


@pytest.mark.parametrize("width", [WIDE, 340.0])
def test_the_hours_end_at_24(width: float) -> None:
    """Midnight ends the day there as everywhere else; it does not begin it anew."""
    late = replace(YEAR, ends=((FIRST, 24 * 60),))
    hours = [
        word.words for word in look_at(draw_light_year(late, width)).words if word.words.isdigit()
    ]
    assert hours[-1] == "24"
    assert "00" not in hours


def test_a_morning_is_not_drawn() -> None:
    """What ends at eleven lies off the sheet; what ends at six is a dash at its date."""
    drawing = draw_light_year(replace(YEAR, lamps=(), dark=()), WIDE)
    dashes = _paths(drawing, stroke_width="1.6", fill="none")
    marks = [run for path in dashes for run in path if run[1][0] - run[0][0] < DAY]
    assert len(marks) == 1
    assert marks[0][0][0] == pytest.approx(AXIS + 0.1 * DAY, abs=0.1)


@pytest.mark.parametrize("is_turned", [False, True])
def test_a_month_is_chosen_by_a_door_over_its_dates(*, is_turned: bool) -> None:
    """A link with words, as long as thirty dates; with doors a drawing is a group."""
    drawing = draw_light_year(YEAR, 318.0 if is_turned else WIDE, is_turned=is_turned)
    root = ET.fromstring(drawing)  # noqa: S314 - our own drawing
    (link,) = root.iter(f"{SVG}a")
    assert link.attrib["href"] == "?from=2026-09-01"
    assert link[0].text == "September 2026"
    long = float(link[1].attrib["height" if is_turned else "width"])
    assert long == pytest.approx(30 * (1.7 if is_turned else DAY), abs=0.2)
    assert root.attrib["role"] == "group"
    assert 'role="img"' in draw_light_year(replace(YEAR, months=()), WIDE)


@pytest.mark.parametrize("is_turned", [False, True])
@pytest.mark.parametrize("days", [28, 120, 365])
def test_words_keep_clear(days: int, *, is_turned: bool) -> None:
    """A month or a year: no word lies over anything, and none is under 11 units."""
    year = replace(
        YEAR,
        last=FIRST + timedelta(days=days - 1),
        sunset=SUNSET[:days],
        dusk=(None,) * days,
        dark_from=YEAR.dark_from[:days],
        today=FIRST + timedelta(days=9),
        lamps=(),
        dark=(),
        months=(),
    )
    drawing = draw_light_year(year, 318.0 if is_turned else WIDE, is_turned=is_turned)
    assert faults_of(drawing) == []
    assert min(word.size for word in look_at(drawing).words) >= 11


def test_where_the_sun_does_not_set_there_is_no_dark() -> None:
    """Neither curve nor mist is drawn, nor named."""
    never = (None,) * DAYS
    drawing = draw_light_year(
        replace(YEAR, sunset=never, dusk=never, dark_from=never, lamps=(), dark=()), WIDE
    )
    words = {word.words for word in look_at(drawing).words}
    assert not {"sunset", "end of civil twilight", "too dark without lamps"} & words


def test_times_that_meet_are_one_bar() -> None:
    """Those of a date that overlap or touch, not those with time between; none of a morning."""
    spans = ((17 * 60, 18 * 60), (17 * 60 + 30, 19 * 60), (19 * 60, 20 * 60), (21 * 60, 22 * 60))
    morning = Burning(NOVEMBER, 6 * 60, 7 * 60)
    lamps = (morning, *(Burning(NOVEMBER, *span) for span in reversed(spans)))
    drawing = draw_light_year(replace(YEAR, lamps=lamps, dark=()), WIDE)
    bars = [shapely.Polygon(run).bounds for run in _paths(drawing, fill=OWN_FILL)[0]]
    heights = sorted(bottom - top for _left, top, _right, bottom in bars)
    assert heights == pytest.approx([HOUR, 3 * HOUR], abs=0.2)
