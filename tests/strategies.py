"""Hypothesis strategies shared by the tests: ground in metres, plans, windows, time ranges."""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from hypothesis import strategies as st
from shapely import Polygon

from clubplanner.domain.ground.plans import CUTS, MarkingPlan, PitchPlan
from clubplanner.domain.times.times import MINUTES_A_DAY, TimeRange, Window
from clubplanner.geometry.frame import Frame
from clubplanner.geometry.shapes import rectangle
from tests.builders import make_plan

ZONES = (
    "Europe/London",
    "Europe/Dublin",
    "America/New_York",
    "America/Denver",
    "Australia/Sydney",
    "Australia/Lord_Howe",
    "Asia/Kolkata",
    "Pacific/Auckland",
    "Pacific/Kiritimati",
    "Pacific/Honolulu",
)


def metres(low: float, high: float) -> st.SearchStrategy[float]:
    """Return lengths from low to high, held to a centimetre."""
    return st.integers(round(low * 100), round(high * 100)).map(lambda n: n / 100)


@st.composite
def rectangles(draw: st.DrawFn, *, step_m: float = 0.5, extent_m: int = 60) -> Polygon:
    """Draw an axis-parallel rectangle with corners on a square grid, x and y from 0 up."""
    cells = int(extent_m / step_m)
    x0, x1 = sorted(draw(st.lists(st.integers(0, cells), min_size=2, max_size=2, unique=True)))
    y0, y1 = sorted(draw(st.lists(st.integers(0, cells), min_size=2, max_size=2, unique=True)))
    return rectangle(x0 * step_m, y0 * step_m, (x1 - x0) * step_m, (y1 - y0) * step_m)


@st.composite
def stars(draw: st.DrawFn) -> Polygon:
    """Draw a valid outline of 3 to 9 corners round a middle, 5 to 40 m away from it."""
    corners = draw(st.integers(3, 9))
    turn = draw(st.floats(0, 1))
    middle_x, middle_y = draw(metres(40, 60)), draw(metres(40, 60))
    points = []
    for n in range(corners):
        reach = draw(metres(5, 40))
        angle = 2 * math.pi * (n + turn) / corners
        points.append((middle_x + reach * math.cos(angle), middle_y + reach * math.sin(angle)))
    return Polygon(points)


@st.composite
def l_shapes(draw: st.DrawFn) -> Polygon:
    """Draw a hall in the shape of an L: a rectangle without its far left corner."""
    length, width = draw(metres(20, 60)), draw(metres(15, 40))
    leg_x, leg_y = draw(metres(5, length - 5)), draw(metres(5, width - 5))
    return Polygon(
        [(0, 0), (length, 0), (length, leg_y), (leg_x, leg_y), (leg_x, width), (0, width)]
    )


@st.composite
def pitch_outlines(draw: st.DrawFn) -> Polygon:
    """Draw a pitch's own rectangle, 20 to 120 m by 10 to 80 m, its longer side along x."""
    width = draw(metres(10, 80))
    return rectangle(0, 0, draw(metres(max(20, width), 120)), width)


@st.composite
def frames(draw: st.DrawFn) -> Frame:
    """Draw a frame anywhere people play, any bearing; the date line included."""
    lon = draw(st.floats(-180, 180, exclude_max=True))
    lat = draw(st.floats(-70, 70))
    return Frame(lon, lat, draw(st.floats(0, 360, exclude_max=True)))


@st.composite
def plans(draw: st.DrawFn) -> PitchPlan:
    """Draw the plan of a rectangular pitch with any equal cuts and perhaps smaller pitches."""
    outline = draw(pitch_outlines())
    _, _, length, width = outline.bounds
    cuts = draw(st.lists(st.sampled_from(sorted(CUTS)), unique=True))
    markings: tuple[MarkingPlan, ...] = ()
    if draw(st.booleans()):
        count = draw(st.integers(1, 3))
        markings = (
            MarkingPlan("Small pitch", count, length_m=width * 0.9, width_m=length / count * 0.8),
        )
    frame = draw(st.none() | frames())
    return make_plan(polygon=outline, cuts=tuple(cuts), markings=markings, frame=frame)


@st.composite
def windows(draw: st.DrawFn) -> Window:
    """Draw a window within one weekday, to the minute."""
    start = draw(st.integers(0, MINUTES_A_DAY - 1))
    return Window(draw(st.integers(0, 6)), start, draw(st.integers(start + 1, MINUTES_A_DAY)))


@st.composite
def time_ranges(draw: st.DrawFn) -> TimeRange:
    """Draw a range of one minute to six hours within two days, so that many of them meet."""
    start = datetime(2026, 11, 25, tzinfo=UTC) + timedelta(minutes=draw(st.integers(0, 2880)))
    return TimeRange(start, start + timedelta(minutes=draw(st.integers(1, 360))))


def zones() -> st.SearchStrategy[ZoneInfo]:
    """Return time zones with and without clock changes, half an hour of change among them."""
    return st.sampled_from(ZONES).map(ZoneInfo)
