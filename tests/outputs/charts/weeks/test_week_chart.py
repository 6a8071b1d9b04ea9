"""A drawn week: every block lies at its time and on its ground, to the pixel."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import combinations
from typing import TYPE_CHECKING
from xml.etree import ElementTree as ET

import pytest
import shapely

from clubplanner.domain.times.times import TimeRange
from clubplanner.outputs.charts.weeks.week_chart import draw_week, unnamed_blocks
from clubplanner.outputs.charts.weeks.week_layout import LEAST_BAND, lay_out
from clubplanner.outputs.charts.weeks.week_shapes import DARK_FILL
from clubplanner.outputs.charts.weeks.week_values import (
    NARROW,
    SCREEN,
    SHEET,
    WIDE_EVENING,
    Band,
    Block,
    DrawnPitch,
    DrawnWeek,
    Evening,
    Form,
    Look,
    Sign,
)
from clubplanner.outputs.charts.weeks.week_words import LEAST
from tests.outputs.clear_drawings import faults_of, look_at
from tests.outputs.example_drawings import SVG, read_path

if TYPE_CHECKING:
    from collections.abc import Sequence

    from shapely import Polygon

MONDAY = datetime(2027, 4, 12, 16, 0, tzinfo=UTC)
LOOKS = (Look.TRAINING, Look.MATCH, Look.HIRE, Look.CLOSED, Look.OFFERED)
NAMES = ("U13 Kestrels", "Women's Second", "Tarnholt Evening Runners", "U9", "Rückrundenturnier")
FORMS = {"screen": SCREEN, "narrow": NARROW, "evening": WIDE_EVENING, **SHEET}


def _evening(day: int, hours: int = 5) -> Evening:
    start = MONDAY + timedelta(days=day)
    marks = tuple((start + timedelta(hours=n), str(17 + n)) for n in range(hours + 1))
    return Evening(f"Day {day + 1}", TimeRange(start, start + timedelta(hours=hours)), marks)


def _block(day: int, start: int, minutes: int, third: int, n: int = 0, **changes: object) -> Block:
    begins = MONDAY + timedelta(days=day, minutes=start)
    block = Block(
        TimeRange(begins, begins + timedelta(minutes=minutes)),
        ((third / 3, (third + 1) / 3),),
        NAMES[n % len(NAMES)],
        f"block {n}",
        LOOKS[n % len(LOOKS)],
        "18:00–19:15",
        str(n),
    )
    return replace(block, **changes)  # type: ignore[arg-type]


def example_week(days: int = 5, pitches: int = 3, each: int = 9) -> DrawnWeek:
    """Return a busy week: on each evening of each pitch up to nine blocks, none over another."""
    spots = [(start, third) for start in (0, 90, 210) for third in range(3)][:each]
    drawn = []
    for pitch in range(pitches):
        bands = []
        for day in range(days):
            during = _evening(day).during
            blocks = tuple(
                _block(day, start, 75 if start else 90, third, n + pitch + day)
                for n, (start, third) in enumerate(spots)
            )
            dusk = during.starts_at + timedelta(hours=3)
            bands.append(Band((during,), blocks, dusk if pitch else None, dusk))
        drawn.append(
            DrawnPitch(f"Pitch {pitch}", "on top: Road end", "grass", (1 / 3, 2 / 3), tuple(bands))
        )
    return DrawnWeek("A week", "A week.", tuple(_evening(n) for n in range(days)), tuple(drawn))


def _edges(drawing: str) -> list[tuple[str, list[Polygon]]]:
    """Return each block's title and outlines, read from the drawing."""
    found = []
    for node in ET.fromstring(drawing).iter():  # noqa: S314 - our own drawing
        shapes = [
            shapely.Polygon(read_path(child.attrib["d"])[0])
            for child in node
            if child.get("class") == "edge"
        ]
        title = node.find(f"{SVG}title")
        if shapes and title is not None and node.tag != f"{SVG}svg":
            found.append((title.text or "", shapes))
    return found


def _blocks(week: DrawnWeek) -> list[tuple[int, int, Block]]:
    return [
        (evening, number, block)
        for evening in range(len(week.evenings))
        for number, pitch in enumerate(week.pitches)
        for block in pitch.bands[evening].blocks
    ]


@pytest.mark.parametrize("form", FORMS.values(), ids=FORMS)
def test_every_block_lies_at_its_time_and_on_its_ground(form: Form) -> None:
    """Left and right are its time by the evening's scale, top and bottom its part of the pitch."""
    week = example_week()
    layout = lay_out(week, form)
    drawn = _edges(draw_week(week, form))
    assert len(drawn) == len(_blocks(week)) == 135
    for (evening, number, block), (_title, (shape,)) in zip(_blocks(week), drawn, strict=True):
        start = (block.during.starts_at - week.evenings[evening].during.starts_at) / timedelta(
            minutes=1
        )
        left = layout.lefts[evening] + start * layout.a_minute
        top = layout.top(number) + block.lanes[0][0] * layout.band
        wide, high = block.during.minutes * layout.a_minute, layout.band / 3
        assert shape.bounds == pytest.approx((left, top, left + wide, top + high), abs=0.11)


@pytest.mark.parametrize("form", FORMS.values(), ids=FORMS)
def test_the_ground_drawn_is_the_hours_booked(form: Form) -> None:
    """All blocks together are as large as hours times part of the pitch, and none overlap."""
    week = example_week()
    layout = lay_out(week, form)
    shapes = [shape for _title, each in _edges(draw_week(week, form)) for shape in each]
    minutes = sum(b.during.minutes * (b.lanes[0][1] - b.lanes[0][0]) for _e, _n, b in _blocks(week))
    area = minutes * layout.a_minute * layout.band
    assert sum(shape.area for shape in shapes) == pytest.approx(area, rel=0.01)
    tree = shapely.STRtree(shapes)
    for n, other in tree.query(shapes, predicate="intersects").T:
        assert n == other or shapes[n].intersection(shapes[other]).area < 0.2 * layout.band


@pytest.mark.parametrize(
    ("days", "pitches", "each"), [(7, 2, 6), (5, 12, 2), (6, 4, 4), (1, 1, 9), (7, 4, 0)]
)
@pytest.mark.parametrize("form", FORMS.values(), ids=FORMS)
def test_no_word_lies_over_anything(form: Form, days: int, pitches: int, each: int) -> None:
    """Two pitches or twelve, eighty bookings or none: words keep clear, and none is under 11."""
    drawing = draw_week(example_week(days, pitches, each), form)
    assert faults_of(drawing) == []
    assert min(word.size for word in look_at(drawing).words) >= LEAST == 11.0


def test_a_week_of_four_pitches_fits_a_screen() -> None:
    """Five evenings and four pitches with their key take less than 600 of a screen's pixels."""
    week = example_week(5, 4)
    assert look_at(draw_week(week, SCREEN)).height < 600
    assert lay_out(example_week(5, 12), SCREEN).band == LEAST_BAND


def test_every_evening_has_the_same_scale() -> None:
    """A long Saturday is longer on the sheet; a minute is as long on it as on a Monday."""
    short, long = _evening(0, 3), _evening(1, 9)
    empty = Band((), ())
    pitch = DrawnPitch("Top", "", "grass", (), (empty, empty))
    layout = lay_out(DrawnWeek("", "", (short, long), (pitch,)), SCREEN)
    ends = [layout.x(n, e.during.ends_at) - layout.lefts[n] for n, e in enumerate((short, long))]
    assert ends[1] == pytest.approx(3 * ends[0])
    assert layout.x(1, long.during.ends_at) == pytest.approx(SCREEN.width - 2)


def test_dark_mornings_and_evenings_are_drawn_at_either_end() -> None:
    """Ground is of no use in the first hour and in the last; both are drawn, and named once."""
    evening = _evening(0)
    hour, during = timedelta(hours=1), evening.during
    pitches = tuple(
        DrawnPitch(name, "", "grass", (), (Band((during,), (), late, None, early),))
        for name, late, early in (
            ("Top", None, None),
            ("Low", during.ends_at - hour, during.starts_at + hour),
        )
    )
    drawn = [draw_week(DrawnWeek("", "", (evening,), (pitch,)), SCREEN) for pitch in pitches]
    light, dark = (drawing.count(f'fill="{DARK_FILL}"') for drawing in drawn)
    assert (light, dark) == (0, 3), "both ends, and a sample in the key"
    block = _block(0, 0, 60, 0)
    band = Band((during,), (block,), None, None, during.starts_at + hour)
    assert band.is_dark_during(TimeRange(during.starts_at, during.ends_at))
    assert not band.is_dark_during(TimeRange(during.starts_at + hour, during.ends_at))


def test_what_reaches_over_an_evening_is_cut_off_at_its_edge() -> None:
    """A closure of a whole day fills the evening and no more; one of another day is not there."""
    evening = _evening(0)
    day = TimeRange(MONDAY - timedelta(hours=16), MONDAY + timedelta(hours=8))
    closed = _block(0, 0, 60, 0, 3, during=day, lanes=((0.0, 1.0),))
    other = _block(3, 0, 60, 1)
    pitch = DrawnPitch("Top", "", "grass", (), (Band((evening.during,), (closed, other)),))
    week = DrawnWeek("", "", (evening,), (pitch,))
    ((_title, (shape,)),) = _edges(draw_week(week, SCREEN))
    layout = lay_out(week, SCREEN)
    assert shape.bounds[0] == pytest.approx(2.0)
    assert shape.bounds[2] == pytest.approx(layout.x(0, evening.during.ends_at), abs=0.1)


def test_ground_in_several_pieces_is_drawn_in_several_pieces() -> None:
    """Each piece is as high as its part; the block is one link."""
    evening = _evening(0)
    block = _block(0, 0, 120, 0, lanes=((0.0, 0.2), (0.5, 0.75)), address="/there")
    pitch = DrawnPitch("Top", "", "grass", (), (Band((evening.during,), (block,)),))
    drawing = draw_week(DrawnWeek("", "", (evening,), (pitch,)), SCREEN)
    ((_title, shapes),) = _edges(drawing)
    high = [shape.bounds[3] - shape.bounds[1] for shape in shapes]
    assert high == pytest.approx([0.2 * 130, 0.25 * 130], abs=0.2)
    assert drawing.count('<a href="/there">') == 1


def test_blocks_with_an_address_can_be_chosen() -> None:
    """Each is a link with its words as its title, and the drawing no single picture any more."""
    evening = _evening(0)
    blocks = (_block(0, 0, 60, 0, address="/a?b=1&c=2"), _block(0, 60, 60, 1))
    pitch = DrawnPitch("Top", "", "grass", (), (Band((evening.during,), blocks),))
    week = DrawnWeek("Marsh Lane", "One evening.", (evening,), (pitch,))
    drawing = draw_week(week, SCREEN)
    assert '<a href="/a?b=1&amp;c=2"><title>block 0</title>' in drawing
    assert drawing.count("<a ") == 1
    assert 'role="group"' in drawing
    bare = tuple(replace(block, address="") for block in blocks)
    band = Band((evening.during,), bare)
    still = replace(week, pitches=(replace(pitch, bands=(band,)),))
    assert 'role="img"' in draw_week(still, SCREEN)


def test_what_a_plan_takes_away_is_seen_only_where_nobody_else_comes() -> None:
    """A session that goes leaves a dotted frame, cut away where another takes its ground."""
    evening = _evening(0)
    gone = _block(0, 0, 120, 0, sign=Sign.GONE, look=Look.TRAINING)
    new = _block(0, 60, 120, 0, n=5, sign=Sign.ADDED, look=Look.TRAINING)
    pitch = DrawnPitch("Top", "", "grass", (), (Band((evening.during,), (gone, new)),))
    week = DrawnWeek("", "", (evening,), (pitch,))
    layout = lay_out(week, SCREEN)
    drawing = draw_week(week, SCREEN)
    frames = [
        shapely.Polygon(read_path(node.attrib["d"])[0])
        for node in ET.fromstring(drawing).iter()  # noqa: S314 - our own drawing
        if node.get("stroke-dasharray") == "2 3"
    ]
    assert len(frames) == 2  # the second is in the key
    (_new,) = _edges(drawing)
    assert frames[0].bounds[2] < layout.x(0, new.during.starts_at)
    assert faults_of(drawing) == []


def test_looks_differ_without_colour() -> None:
    """No two looks have the same strokes and hatches: grey tells them apart."""
    strokes = {}
    for look in (Look.TRAINING, Look.MATCH, Look.HIRE, Look.CLOSED, Look.OFFERED):
        evening = _evening(0)
        block = _block(0, 0, 120, 0, look=look, who="x")
        pitch = DrawnPitch("Top", "", "grass", (), (Band((evening.during,), (block,)),))
        root = ET.fromstring(draw_week(DrawnWeek("", "", (evening,), (pitch,)), SCREEN))  # noqa: S314
        group = next(n for n in root.iter(f"{SVG}g") if n.find(f"{SVG}title") is not None)
        strokes[look] = tuple(
            (child.get("stroke-dasharray"), child.get("stroke-opacity"), child.get("d", "")[:9])
            for child in group.iter()
            if child.get("stroke")
        )
    assert all(a != b for a, b in combinations(strokes.values(), 2))


@pytest.mark.parametrize("sign", [Sign.ADDED, Sign.MOVED])
def test_signs_leave_their_room_to_themselves(sign: Sign) -> None:
    """Beside a sign the name is still read, and lies over nothing."""
    evening = _evening(0)
    blocks: Sequence[Block] = [
        _block(0, 0, 75, n, n, sign=sign, look=Look.TRAINING) for n in range(3)
    ]
    pitch = DrawnPitch("Top", "", "grass", (), (Band((evening.during,), tuple(blocks)),))
    week = DrawnWeek(
        "", "", (*(_evening(n) for n in range(5)),), (replace(pitch, bands=pitch.bands * 5),)
    )
    drawing = draw_week(week, SCREEN)
    assert faults_of(drawing) == []
    assert "Kestrels" in drawing


@pytest.mark.parametrize("form", FORMS.values(), ids=FORMS)
def test_a_frame_says_whose_it_was_where_all_of_it_is_free(form: Form) -> None:
    """In softer letters, and with words to hear; two that were on the same ground never mix."""
    evening = _evening(0)
    gone = [
        _block(0, start, 120, third, n, sign=Sign.GONE, look=Look.TRAINING)
        for n, (start, third) in enumerate([(0, 0), (60, 0), (0, 1), (0, 1)])
    ]
    new = _block(0, 150, 60, 0, n=5, sign=Sign.ADDED, look=Look.TRAINING, who="x")
    pitch = DrawnPitch("Top", "", "grass", (), (Band((evening.during,), (*gone, new)),))
    drawing = draw_week(DrawnWeek("", "", (evening,), (pitch,)), form)
    assert "<title>block 0</title>" in drawing
    words = [word.words for word in look_at(drawing).words]
    assert words.count("U13 Kestrels") == 1
    assert not {"Women's Second", "U9"} & set(words)
    assert faults_of(drawing) == []


@pytest.mark.parametrize(("count", "titles"), [(40, 40), (41, 0)])
def test_a_whole_plan_that_goes_is_told_by_the_table(count: int, titles: int) -> None:
    """Frames of very many are not read aloud one by one, which made the page heavy."""
    evening = _evening(0)
    gone = tuple(
        _block(0, 0, 60, 0, n, sign=Sign.GONE, look=Look.TRAINING) for n in range(count - 1)
    )
    there = replace(gone[0], sign=Sign.GONE, during=_block(0, 90, 60, 0).during, words="alone")
    pitch = DrawnPitch("Top", "", "grass", (), (Band((evening.during,), (*gone, there)),))
    drawing = draw_week(DrawnWeek("", "", (evening,), (pitch,)), SCREEN)
    told = re.findall("<title>([^<]*)</title>", drawing)
    assert len([one for one in told if one.startswith("block") or one == "alone"]) <= titles
    assert ("alone" in told) == (titles > 0)
    assert [word.words for word in look_at(drawing).words].count("U13 Kestrels") >= 1


@pytest.mark.parametrize("sign", [Sign.MOVED, Sign.GONE])
@pytest.mark.parametrize("minutes", range(30, 120, 5))
def test_who_has_no_name_on_paper_is_listed(sign: Sign, minutes: int) -> None:
    """Also where a name would have room but for the sign beside it."""
    evening = _evening(0)
    block = _block(0, 0, minutes, 0, sign=sign, look=Look.TRAINING, mark="")
    pitch = DrawnPitch("Top", "", "grass", (), (Band((evening.during,), (block,)),) * 5)
    week = DrawnWeek("", "", tuple(_evening(n) for n in range(5)), (pitch,))
    form = Form(700.0, 100.0, 40.0)
    is_drawn = "U13" in " ".join(word.words for word in look_at(draw_week(week, form)).words)
    assert is_drawn == (not unnamed_blocks(week, form))
