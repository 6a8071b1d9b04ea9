"""No words of any drawing lie over other words, an outline, an end zone, a goal or a sign."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from clubplanner.domain.ground.grounds import Goal, GoalKind, Pitch
from clubplanner.domain.ground.pitch_from_plan import build_pitch
from clubplanner.geometry.shapes import rectangle
from clubplanner.outputs.charts.bars import Bar, draw_bars
from clubplanner.outputs.charts.fair_chart import FairRow, draw_fair, draw_spread
from clubplanner.outputs.charts.load_chart import LoadBar, draw_load
from clubplanner.outputs.charts.turn_chart import TurnRow, draw_turns
from clubplanner.outputs.drawings.lettering import LEAST
from clubplanner.outputs.drawings.plan_values import (
    AreaRole,
    GroundPlan,
    PlanArea,
    PlanMark,
    PlanPiece,
)
from clubplanner.outputs.drawings.plans.ground_plan import draw_ground_plan
from clubplanner.outputs.drawings.svg import document, element, label
from clubplanner.services.setup.grounds.forms import draw_pitch
from clubplanner.services.showing.ground.plans import cut_lines
from tests.builders import make_pitch
from tests.outputs.clear_drawings import faults_of, least_letters
from tests.strategies import frames, l_shapes, metres, plans, stars

if TYPE_CHECKING:
    from clubplanner.domain.ground.plans import PitchPlan

NAMES = st.one_of(
    st.sampled_from(
        [
            "U12 Kestrels",
            "TARNHOLT WANDERERS UNDER THIRTEENS",
            "Spielgemeinschaft Oberweidenbach-Niederlangenfeld II",
            "Ω" * 40,
            "東京フットボールクラブ",
            "فريق الصقور",
            "नवयुवक क्रीड़ा मंडल",
            "Ć",
            "W" * 80,
        ]
    ),
    st.text(max_size=70),
)
CUTS = ("halves", "thirds", "quarters", "grid")


def test_the_measure_finds_what_covers_something() -> None:
    """Words over words, over a line, over a bar, on a hatch and over the edge are all found."""

    def faults(*body: str) -> list[str]:
        return faults_of(document(200, 100, "t", "s", body))

    assert faults(label("Kestrels", 60, 30), label("Merlins", 60, 50)) == []
    assert faults(label("Kestrels", 60, 30), label("Merlins", 60, 36)) == [
        "'Kestrels' lies over 'Merlins'"
    ]
    line = element("path", d="M0 30L200 30", stroke="#000000", fill="none")
    assert faults(line, label("Kestrels", 60, 30)) == ["'Kestrels' lies over an outline"]
    bar = element("rect", x=0, y=20, width=70, height=20, fill="#14584a")
    assert faults(bar, label("Kestrels", 60, 30)) == ["'Kestrels' lies over a sign"]
    hatch = element("path", d="M0 30L200 30", stroke="#000000", stroke_opacity=0.5)
    assert faults(hatch, label("Kestrels", 60, 30)) == ["'Kestrels' lies on a hatch"]
    assert faults(label("Kestrels", 5, 30)) == ["'Kestrels' reaches over the edge"]


@st.composite
def pitches(draw: st.DrawFn) -> Pitch:
    """Draw a pitch: any rectangle, an L or a star, any cuts, goals, way in and frame."""
    outline = draw(
        st.one_of(
            st.builds(rectangle, st.just(0), st.just(0), metres(5, 130), metres(5, 130)),
            l_shapes(),
            stars(),
        )
    )
    x0, y0, x1, y1 = outline.bounds
    cuts = tuple(draw(st.lists(st.sampled_from(CUTS), unique=True)))
    names = {side: draw(NAMES) for side in ("start", "far", "left", "right")}
    goals = tuple(
        Goal(x, y, turn, wide, 2.0, kind)
        for (x, y, *_), turn, wide, kind in draw(
            st.lists(
                st.tuples(
                    st.sampled_from(list(outline.exterior.coords)),
                    st.sampled_from([0.0, 90.0, 30.0]),
                    st.sampled_from([1.0, 2.0]),
                    st.sampled_from(list(GoalKind)),
                ),
                max_size=3,
            )
        )
    )
    return make_pitch(
        polygon=outline,
        cuts=cuts if len(outline.exterior.coords) == 5 else (),
        goals=(),
        standing_goals=goals,
        frame=draw(st.none() | frames()),
        entrance=draw(st.none() | st.just((x0, y0)) | st.just((x1, (y0 + y1) / 2))),
        edge_names=names,
        obstacles=draw(st.sampled_from([(), (rectangle(x0 + 2, y0 + 2, 1, 1),)])),
    )


@settings(max_examples=40, deadline=None)
@given(pitches(), st.data())
def test_words_of_a_plan_cover_nothing(pitch: Pitch, data: st.DataObject) -> None:
    """On any pitch, with any names, with a table of numbers beside it or without."""
    cut = data.draw(st.sampled_from(sorted({area.cut for area in pitch.areas})))
    areas = [area for area in pitch.areas if area.cut == cut]
    own = data.draw(st.sampled_from([None, *range(len(areas))]))
    is_numbered = data.draw(st.booleans())
    roles = st.sampled_from([AreaRole.OTHER, AreaRole.CLOSED])
    held = tuple(
        PlanArea(
            area.polygon,
            data.draw(NAMES),
            ("18:00–19:15",),
            AreaRole.OWN if n == own else data.draw(roles),
            tint=n,
            mark=str(data.draw(st.integers(1, 140))) if is_numbered else "",
        )
        for n, area in enumerate(areas)
    )
    plan = GroundPlan(
        pitch,
        "t",
        "s",
        held,
        cut_lines(pitch, [area.key for area in areas]),
        shows_size=own is not None,
    )
    svg = draw_ground_plan(plan, tallest=data.draw(st.sampled_from([120.0, 300.0, 420.0])))
    assert faults_of(svg) == []
    assert least_letters(svg) * 360 >= LEAST


@settings(max_examples=40, deadline=None)
@given(st.data(), metres(8, 110), metres(8, 80), st.integers(1, 4), st.integers(1, 4))
def test_words_of_games_cover_nothing(
    data: st.DataObject, length: float, width: float, across: int, along: int
) -> None:
    """Sides, sizes, numbers and keepers keep off end zones, goals and outlines."""
    pitch = make_pitch(length_m=length, width_m=width, cuts=())
    step_x, step_y = length / across, width / along
    pieces = []
    for n in range(across * along):
        x, y = step_x * (n % across), step_y * (n // across)
        ground = rectangle(x + 0.5, y + 0.5, step_x - 1, step_y - 1)
        x0, y0, x1, y1 = ground.bounds
        middle = (y0 + y1) / 2
        zones = (rectangle(x1 - step_x / 5, y0, step_x / 5, y1 - y0),)
        goals = (shapely.LineString([(x0, middle - step_y / 8), (x0, middle + step_y / 8)]),)
        pieces.append(
            PlanPiece(
                ground,
                data.draw(st.sampled_from(["4 v 3", "10 v 10 + 2 GK", "11 gegen 10 + 1 TW", "7"])),
                step_x - 1,
                step_y - 1,
                goals=goals,
                end_zones=data.draw(st.sampled_from([(), zones])),
                marks=(PlanMark(x0, middle, "GK", ((x0 + x1) / 2, middle)),),
                name=f"Game {n + 1}" if data.draw(st.booleans()) else "",
            )
        )
    area = PlanArea(pitch.polygon, "U12 Kestrels", (), AreaRole.OWN)
    plan = GroundPlan(pitch, "t", "s", (area,), pieces=tuple(pieces), focus=pitch.polygon)
    assert faults_of(draw_ground_plan(plan, tallest=300.0)) == []


@settings(max_examples=25, deadline=None)
@given(plans())
def test_words_of_a_pitch_with_its_parts_cover_nothing(plan: PitchPlan) -> None:
    """Where parts of a pitch lie over each other, each is named on what is seen of it."""
    assert faults_of(draw_pitch(build_pitch(plan))) == []


@settings(max_examples=15, deadline=None)
@given(
    st.lists(st.tuples(NAMES, st.integers(0, 100), st.booleans()), min_size=1, max_size=6),
    st.integers(1, 60),
)
def test_words_of_charts_cover_nothing(rows: list[tuple[str, int, bool]], weeks: int) -> None:
    """Names take more lines, and are cut off in the end; no line of a chart crosses them."""
    days = [date(2026, 8, 31) + timedelta(weeks=n) for n in range(weeks)]
    words = [f"{day:%d %b}" for day in days]
    charts = (
        draw_bars([Bar(*row) for row in rows], "t", "s"),
        draw_load(
            [LoadBar(word, (n % 5) / 3, n % 5 > 3, n < 9) for n, word in enumerate(words)], "t", "s"
        ),
        draw_turns(
            [TurnRow(name, ("A", "W") * weeks, (part, 0) * weeks) for name, part, _ in rows],
            days,
            "t",
            "s",
        ),
    )
    for chart in charts:
        assert faults_of(chart) == []
        assert least_letters(chart) * 360 >= LEAST


@settings(max_examples=15, deadline=None)
@given(
    st.lists(st.tuples(NAMES, st.integers(0, 150), st.booleans()), min_size=1, max_size=40),
)
def test_words_of_fairness_cover_nothing(rows: list[tuple[str, int, bool]]) -> None:
    """Names are cut off where their hours begin; one squad or forty, wide or narrow."""
    fair = [
        FairRow(
            name=name,
            words="23.5 h, asked for nothing" if is_idle else "123.5 of 140.0 h",
            had=None if is_idle else part / 100,
            even=None if is_idle else 0.8,
            good=min(part, 100) / 200,
            bad=min(part, 100) / 200,
            earlier="" if is_idle else "+12",
        )
        for name, part, is_idle in rows
    ]
    for is_narrow, width in ((False, 1160), (True, 318)):
        chart = draw_fair(fair, "t", "s", is_narrow=is_narrow)
        assert faults_of(chart) == []
        assert least_letters(chart) * width >= 11, "a unit is a pixel, or more"
    spread = draw_spread([part / 100 for _name, part, _ in rows], "t", "s")
    assert faults_of(spread) == []
    assert least_letters(spread) * 360 >= LEAST
