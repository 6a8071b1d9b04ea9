"""Tests of the SVG writer: markup any reader takes, text that fits, hatches that stay inside."""

from __future__ import annotations

from xml.etree import ElementTree as ET

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, MultiPolygon, Polygon

from clubplanner.geometry.shapes import rectangle
from clubplanner.outputs.drawings import svg
from tests.outputs.example_drawings import advance, glyphs, read_path

HOSTILE = (
    "</text><script>alert(1)</script>",
    "a & b < c > d \"e\" 'f' ]]>",
    "\x00\x01\x07\x1b\x7f\ufffe\uffff",
    "half \ud83d a pair",
    "👨‍👩‍👧‍👦🏴󠁧󠁢󠁳󠁣󠁴󠁿",
    "נערים \u202egedirb\u202c فريق",
    "W" * 10_000,
)


def parse(markup: str) -> ET.Element:
    """Read markup with the standard library's parser."""
    return ET.fromstring(markup)  # noqa: S314 - our own markup


def as_it_is(x: float, y: float) -> tuple[float, float]:
    """Leave a point where it is."""
    return x, y


def test_element_writes_names_numbers_and_children() -> None:
    """An element has hyphens for underscores, rounded numbers, and no attribute that is None."""
    written = svg.element("g", "<b/>", stroke_width=1.25, x=3.0, class_="a", fill=None)
    assert written == '<g stroke-width="1.2" x="3" class="a"><b/></g>'
    assert svg.element("path") == "<path/>"


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_stays_text(text: str) -> None:
    """Whatever a name holds, it comes out as one text and as one attribute, and as nothing else."""
    node = parse(svg.element("text", svg.words(text), title=text))
    assert len(node) == 0
    allowed = "".join(ch for ch in text if ch.isprintable() or ch in "\x7f\u202e\u202c\u200d")
    for found in (node.text or "", node.attrib["title"]):
        assert [ch for ch in found if ch.isalnum()] == [ch for ch in allowed if ch.isalnum()]


@given(st.text())
def test_any_text_gives_well_formed_markup(text: str) -> None:
    """Any text at all can be written into a drawing and read back."""
    node = parse(svg.document(10, 10, text, text, [svg.label(text, 1, 2)]))
    assert node.attrib["viewBox"] == "0 0 10 10"
    assert [child.tag.rpartition("}")[2] for child in node] == ["title", "desc", "text"]


def test_label_stands_on_its_centre_line_and_turns_about_it() -> None:
    """A label's base line is a third of its size below its centre; a turned one turns there."""
    node = parse(svg.label("North", 50, 20, size=10, bold=True, turn_deg=-90, anchor="start"))
    assert float(node.attrib["y"]) == pytest.approx(23.5)
    assert node.attrib["transform"] == "rotate(-90 50 20)"
    assert node.attrib["font-weight"] == "700"
    assert node.attrib["text-anchor"] == "start"
    assert "transform" not in parse(svg.label("North", 50, 20)).attrib


@pytest.mark.parametrize("bold", [False, True])
def test_text_is_never_thought_much_narrower_than_it_is(bold: bool) -> None:
    """The estimate is at least 98 % of the font's own advance for words and capitals."""
    samples = [
        "U13 Kestrels",
        "TARNHOLT WANDERERS UNDER 13",
        "MACKINTOSH GROUND, OOGHNUD",
        "0123456789",
        "18:00–19:15",
        "33.3 m · 36 yd",
        "4 v 3 + 2 GK",
        "WWWWMMMM",
        "Çağdaş Ömür Ñandú Łódź",
        "ÆØÅ æøå Œuvre",
    ]
    for sample in samples:
        real = advance(sample, 12, bold=bold)
        assert 0.98 * real <= svg.text_width(sample, 12, bold=bold) <= 1.45 * real, sample


@given(st.text(st.sampled_from(sorted(ch for ch in glyphs() if ch.isalnum())), min_size=8))
def test_letters_and_digits_fit_their_estimate(text: str) -> None:
    """No run of letters and digits of the font is wider than its estimate by more than a fifth."""
    assert svg.text_width(text, 10) * 1.2 >= advance(text, 10)


def test_wide_scripts_and_marks_are_counted() -> None:
    """East Asian characters count as squares, combining marks as nothing."""
    assert svg.text_width("東京", 10) >= 20
    assert svg.text_width("e\u0301", 10) == svg.text_width("e", 10)


@given(st.text(max_size=60), st.floats(5, 200))
def test_wrapped_lines_fit_and_lose_no_word(text: str, width: float) -> None:
    """Wrapping keeps every word in order and no line is too wide; else it gives None."""
    lines = svg.wrap(text, 11, width)
    widest = max((svg.text_width(word, 11) for word in text.split()), default=0.0)
    if lines is None:
        assert widest > width
    else:
        assert " ".join(lines).split() == text.split()
        assert all(svg.text_width(line, 11) <= width for line in lines)


def test_wrap_fills_lines() -> None:
    """Words share a line while there is room."""
    assert svg.wrap("aa bb cc", 10, svg.text_width("aa bb", 10)) == ["aa bb", "cc"]
    assert svg.wrap("", 10, 5) == []


def test_clipping_by_characters_and_by_width() -> None:
    """Too long a text ends in an ellipsis and keeps within what was asked; a short one stays."""
    assert svg.clip_words("Harriers", 8) == "Harriers"
    assert svg.clip_words("Harriers two", 8) == "Harrier…"
    assert svg.clip_to_width("Harriers", 10, 500) == "Harriers"
    clipped = svg.clip_to_width("W" * 50, 10, 80)
    assert clipped.endswith("W…")
    assert svg.text_width(clipped, 10) <= 80
    assert svg.clip_to_width("Harriers", 10, 1) == "…"


def test_path_of_shapes() -> None:
    """Polygons come closed with their holes, lines open, empty shapes as nothing."""
    ring = Polygon([(0, 0), (10, 0), (10, 10), (0, 10)], [[(4, 4), (6, 4), (6, 6), (4, 6)]])
    assert svg.path_of(ring, as_it_is) == ("M0 0L10 0L10 10L0 10ZM4 4L6 4L6 6L4 6Z")
    assert svg.path_of(LineString([(0, 0), (1.26, 2)]), as_it_is) == "M0 0L1.3 2"
    two = MultiPolygon([rectangle(0, 0, 1, 1), rectangle(5, 5, 1, 1)])
    assert svg.path_of(two, as_it_is).count("Z") == 2
    assert svg.path_of(Polygon(), as_it_is) == ""
    assert svg.path_of(shapely.Point(1, 1), as_it_is) == ""


SHAPES = (
    rectangle(0, 0, 33, 64),
    Polygon([(0, 0), (24, 0), (24, 10), (14, 10), (14, 18), (0, 18)]),
    Polygon([(0, 0), (20, 0), (20, 20), (0, 20)], [[(5, 5), (15, 5), (15, 15), (5, 15)]]),
    rectangle(3, 3, 0.2, 40),
)


@settings(max_examples=40)
@given(st.sampled_from(SHAPES), st.floats(0.4, 9), st.integers(0, 179))
def test_hatches_lie_inside_and_apart(shape: Polygon, gap: float, angle: int) -> None:
    """Every hatch line lies in its shape, in the direction asked, whole gaps from the others."""
    lines = svg.hatch(shape, gap, angle)
    assert shapely.buffer(shape, 1e-6).covers(lines)
    turned = shapely.affinity.rotate(lines, -angle, origin=(0, 0))
    rows = []
    for line in getattr(turned, "geoms", (turned,)):
        _, low, _, high = line.bounds
        assert high - low < 1e-6
        rows.append(low)
    assert all(abs((row - rows[0]) / gap - round((row - rows[0]) / gap)) < 1e-6 for row in rows)


def test_hatch_covers_the_shape() -> None:
    """No point of a hatched shape is further than half a gap from a line, but at its corners."""
    shape = rectangle(0, 0, 30, 20)
    lines = svg.hatch(shape, 2.0, 45)
    bare = shapely.difference(shapely.buffer(shape, -2), shapely.buffer(lines, 1.0 + 1e-6))
    assert bare.is_empty


def test_document_says_what_it_shows() -> None:
    """A drawing is an image with a title and a description for those who cannot see it."""
    node = parse(svg.document(360.04, 200, "Top pitch", "Kestrels on it", []))
    assert node.attrib == {"viewBox": "0 0 360 200", "role": "img"}
    assert [child.text for child in node] == ["Top pitch", "Kestrels on it"]


def test_paths_can_be_read_back() -> None:
    """The tests' own reader gives back the points that were written."""
    line = LineString([(0, 0), (2, 0), (2, 1.5)])
    assert read_path(svg.path_of(line, as_it_is)) == (((0.0, 0.0), (2.0, 0.0), (2.0, 1.5)),)


def test_signs_that_keep_names_apart_take_no_room() -> None:
    """An isolated name is as wide as the name."""
    assert svg.text_width("\u2068הפועל\u2069", 12) == svg.text_width("הפועל", 12)
