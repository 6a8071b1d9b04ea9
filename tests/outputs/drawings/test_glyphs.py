"""Names in any script that we ship a font for are drawn as they are written, never as boxes."""

from __future__ import annotations

import re
import unicodedata
from io import BytesIO

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image, ImageDraw, ImageFont

from clubplanner.outputs.drawings.glyphs import faces_of, with_fonts
from clubplanner.outputs.drawings.picture import png_from_svg
from clubplanner.outputs.drawings.svg import document, label
from clubplanner.resources import font_files
from tests.outputs.example_drawings import glyphs, read_grey

FACES = faces_of(font_files())
NAMES = {
    "Vietnamese": ("Nguyễn Hữu Đường", "Noto Sans"),
    "Polish": ("Źródło Łódź Święta", "Atkinson Hyperlegible Next"),
    "Turkish": ("Şişli Gençlik İğdır", "Atkinson Hyperlegible Next"),
    "Māori": ("Ōrākei Tūī", "Noto Sans"),
    "Greek": ("Ὀλυμπιακός Αθήνα", "Noto Sans"),
    "Cyrillic": ("Динамо Київ Ђоковић", "Noto Sans"),
    "Arabic": ("نجوم العرب", "Noto Sans Arabic"),
    "Hebrew": ("הפועל חיפה", "Noto Sans Hebrew"),
    "Chinese": ("北京足球 臺灣", "Noto Sans CJK SC"),
    "Japanese": ("さくら キッズ 東京", "Noto Sans CJK SC"),
    "Korean": ("서울 축구", "Noto Sans CJK SC"),
}


def drawn(name: str, *, bold: bool = False, size: float = 30) -> np.ndarray:
    """Draw a name as a picture; True where there is ink."""
    svg = document(600, 60, "t", "d", [label(name, 300, 30, size=size, bold=bold)])
    return np.asarray(read_grey(png_from_svg(svg, 1200, font_files())) < 128)


def trimmed(ink: np.ndarray) -> np.ndarray:
    """Cut a picture down to its ink."""
    rows, columns = np.flatnonzero(ink.any(axis=1)), np.flatnonzero(ink.any(axis=0))
    return ink[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1]


def alike(one: np.ndarray, other: np.ndarray) -> float:
    """Return how much of the ink of two pictures of one size is the same, 0 to 1."""
    picture = Image.fromarray(other).resize((one.shape[1], one.shape[0]))
    scaled = np.asarray(picture)
    return float((one & scaled).sum() / (one | scaled).sum())


def by_pillow(text: str, family: str) -> np.ndarray:
    """Draw a text with FreeType, by a program that shares nothing with the renderer."""
    paths = [path for path in font_files() if "Regular" in path]
    (path,) = [path for path in paths if faces_of((path,))[0].family == family]
    sheet = Image.new("L", (1200, 160), 255)
    font = ImageFont.truetype(path, 60, layout_engine=ImageFont.Layout.BASIC)
    ImageDraw.Draw(sheet).text((20, 40), text, font=font, fill=0)
    return np.asarray(sheet) < 128


def test_the_fonts_letters_are_read() -> None:
    """What the first face has is what an independent reader of the tests finds."""
    assert FACES[0].family == "Atkinson Hyperlegible Next"
    assert {chr(code) for code in FACES[0].letters if code > 126} == {
        ch for ch in glyphs() if ord(ch) > 126
    }


@pytest.mark.parametrize("script", NAMES)
def test_a_name_is_written_by_fonts_that_have_its_letters(script: str) -> None:
    """Each letter is given to a font that has it, in both weights, and none is changed."""
    name, family = NAMES[script]
    line = with_fonts(f"<text>{name}</text>", FACES)
    known = {face.family: face.letters for face in FACES}
    for named, run in re.findall(r'<tspan font-family="([^"]+)">([^<]+)</tspan>', line):
        assert {ord(ch) for ch in run} <= known[named]
    plain = re.sub(r"<[^>]+>|\u200e", "", line)
    assert plain == unicodedata.normalize("NFC", name)
    assert family == FACES[0].family or f'font-family="{family}"' in line


@pytest.mark.parametrize("bold", [False, True])
@pytest.mark.parametrize("script", NAMES)
def test_a_name_is_no_boxes(script: str, bold: bool) -> None:
    """There is ink, and it is not that of as many letters that no font has."""
    name, _family = NAMES[script]
    ink = trimmed(drawn(name, bold=bold))
    boxes = trimmed(drawn(re.sub(r"\S", "\U00010570", name), bold=bold))
    assert ink.sum() > 300
    assert alike(ink, boxes) < 0.5
    assert ink.mean() < 0.6


@pytest.mark.parametrize(
    ("text", "family"),
    [
        ("Динамо", "Noto Sans"),
        ("Ολυμπιακός", "Noto Sans"),
        ("ễữờ", "Noto Sans"),
        ("北京足球", "Noto Sans CJK SC"),
        ("서울축구", "Noto Sans CJK SC"),
        ("הפועל"[::-1], "Noto Sans Hebrew"),
    ],
)
def test_a_word_looks_as_another_program_draws_it(text: str, family: str) -> None:
    """FreeType, asked for the same font, puts the ink at the same places.

    It knows no order of writing: a word from right to left is given to it the other way round.
    """
    ours = trimmed(drawn(text[::-1] if family.endswith("Hebrew") else text))
    assert alike(ours, trimmed(by_pillow(text, family))) > 0.7


def test_arabic_letters_join() -> None:
    """A word in Arabic has fewer pieces of ink than its letters one by one."""

    def pieces(name: str) -> int:
        return int((np.diff(drawn(name).any(axis=0).astype(int)) == 1).sum())

    assert pieces("نجم") < pieces("\u200c".join("نجم"))


def test_a_name_from_right_to_left_begins_the_line_at_the_left() -> None:
    """Times that follow a name in Arabic stand to the right of it, as on a page."""
    name, times = "\u2068نجوم العرب\u2069", "18:00–19:15"
    both, alone = drawn(f"{name}: {times}"), trimmed(drawn(times))
    end = trimmed(both)[:, -alone.shape[1] :]
    rows = np.flatnonzero(end.any(axis=1))
    assert alike(alone, trimmed(end[rows[0] : rows[-1] + 1])) > 0.6


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("ﬁnal", "final"),
        ("Kestrels–Gjógv, Łódź", "Kestrels–Gjógv, Łódź"),
        ("＜b＞ ＆", "＜b＞ ＆"),
        ("ꔀ", "ꔀ"),
    ],
)
def test_names_stay_readable(text: str, written: str) -> None:
    """Only what no font has changes; nothing becomes markup."""
    line = with_fonts(f"<text>{text}</text>", FACES[:1])
    assert re.sub(r"^<text>|</text>$", "", line) == written


def test_a_picture_of_ascii_is_not_touched() -> None:
    """The usual drawing goes to the renderer as it is, and without fonts every one does."""
    svg = "<text>U12 Kestrels</text>"
    assert with_fonts(svg, FACES) is svg
    assert with_fonts("<text>Ωμέγα</text>", ()) == "<text>Ωμέγα</text>"


@given(st.text())
def test_markup_never_appears(text: str) -> None:
    """Whatever is replaced, no sign of markup comes up that was not there."""
    bare = re.sub("[<>]", "", text)
    line = with_fonts(f"<text>{bare}</text>", FACES)
    inside = re.sub(r"</?tspan[^<>]*>", "", line.removeprefix("<text>").removesuffix("</text>"))
    for sign in "<>&\"'":
        assert inside.count(sign) == bare.count(sign)


def test_a_picture_carries_its_words() -> None:
    """Title and description of a drawing are texts of its picture, for whoever reads them out."""
    svg = document(100, 40, "U12 & Co", "Ολυμπιακός have <half>", [])
    with Image.open(BytesIO(png_from_svg(svg, 100, font_files()))) as picture:
        assert picture.info["Title"] == "U12 & Co"
        assert picture.info["Description"] == "Ολυμπιακός have <half>"
