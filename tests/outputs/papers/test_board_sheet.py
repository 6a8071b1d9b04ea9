"""The sheet for the notice board: one page whatever stands on it, words never evaluated."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from datetime import UTC, datetime
from io import BytesIO
from typing import cast

import pytest
import typst
from pypdf import PdfReader

from clubplanner.outputs.drawings.plans.place_plan import draw_place
from clubplanner.outputs.drawings.qr import draw_qr
from clubplanner.outputs.papers.board_sheet import (
    LEAST_READABLE_PT,
    BoardSheet,
    SheetRow,
    columns_for,
    is_readable,
    letters_pt,
    row_height_mm,
    set_sheet,
    sheet_data,
)
from clubplanner.resources import resource_folder
from tests.builders import make_pitch

PITCH = make_pitch()
THIRD = next(area for area in PITCH.areas if area.key == "third-1")
ROW = SheetRow(
    "18:00–19:15", "U12 Kestrels", THIRD.name, draw_place(PITCH, THIRD.polygon, "There"), False
)
SHEET = BoardSheet(
    club="Alderby Rovers",
    venue="Marsh Lane",
    day="Wednesday 25 November 2026",
    rows=(ROW,) * 9,
    notes=(),
    code=draw_qr("https://pitches.example.org/board/marsh-lane", "Now"),
    foot="As it stands now: scan the square.",
    made="Made Monday 16 November 2026, 12:00.",
)
SOURCE = (resource_folder("web") / "templates" / "evening" / "board_sheet.typ").read_text("utf-8")
FONTS = (str(resource_folder("web") / "static" / "fonts"),)
MADE_AT = datetime(2026, 11, 16, 12, 0, 7, 482_193, tzinfo=UTC)


def pages_of(sheet: BoardSheet) -> list[bytes]:
    """Set a sheet as pictures, a page each."""
    done: object = typst.compile(
        SOURCE.encode(),
        font_paths=typst.Fonts(include_system_fonts=False, font_paths=list(FONTS)),
        ignore_system_fonts=True,
        sys_inputs={"data": json.dumps(sheet_data(sheet))},
        format="svg",
    )
    return done if isinstance(done, list) else [cast("bytes", done)]


@pytest.mark.parametrize("count", [0, 1, 2, 9, 12, 13, 14, 30, 60, 120])
@pytest.mark.parametrize("notes", [0, 3])
def test_every_evening_is_one_page(count: int, notes: int) -> None:
    """From nothing to far too much: one sheet of A4."""
    sheet = replace(SHEET, rows=(ROW,) * count, notes=("Top pitch: no studs.",) * notes)
    assert len(pages_of(sheet)) == 1


def test_long_and_odd_words_stay_on_the_page() -> None:
    """Names that are far too long, empty, or look like code or markup change nothing else."""
    odd = ("W" * 300, "", "#panic()", "$x$ *b* _i_ `c` @r <l>", '#read("/etc/hostname")', "東京 👟")
    rows = tuple(replace(ROW, who=text, where=text) for text in odd)
    for text in odd:
        sheet = replace(SHEET, rows=rows, venue=text or "x", day=text, foot=text, club=text)
        assert len(pages_of(sheet)) == 1
        made = set_sheet(sheet, SOURCE, FONTS, MADE_AT)
        assert made.startswith(b"%PDF-")
        assert b"pdfuaid" not in made, "one of the names has letters our fonts lack"


def test_the_file_is_tagged_and_repeats() -> None:
    """PDF/UA-1 with title and language (ISO 14289-1); the same sheet gives the same bytes."""
    first, second = (set_sheet(SHEET, SOURCE, FONTS, MADE_AT) for _ in range(2))
    assert first == second
    assert re.search(rb"<pdfuaid:part>\s*1\s*</pdfuaid:part>", first)
    assert b"/MarkInfo" in first
    assert b"/Lang" in first


def test_a_usual_evening_is_read_from_two_metres() -> None:
    """Ten lines have letters of the least size or more; what is too much is told."""
    assert is_readable(10)
    assert letters_pt(10) >= LEAST_READABLE_PT
    assert not is_readable(40)
    sizes = [letters_pt(count) for count in range(1, 13)]
    assert sizes == sorted(sizes, reverse=True)
    assert row_height_mm(12) * 12 <= 297


def test_many_lines_take_two_columns() -> None:
    """So that letters stay large."""
    assert [columns_for(count) for count in (0, 12, 13, 60)] == [1, 1, 2, 2]
    assert letters_pt(14) > letters_pt(12)


def test_a_small_plan_says_in_words_what_it_shows() -> None:
    """Filled for a session, hatched where closed; always with its description."""
    usual = draw_place(PITCH, THIRD.polygon, "Where Third is")
    closed = draw_place(PITCH, THIRD.polygon, "Where Third is", is_closed=True)
    for drawing in (usual, closed):
        assert "<desc>Where Third is</desc>" in drawing
        assert "style=" not in drawing
    assert closed.count("<path") == usual.count("<path") + 1


def _sizes(sheet: BoardSheet, words: str) -> list[float]:
    """Return the sizes of the letters in which words stand on a sheet, points."""
    found: list[float] = []

    def look(text: str, ctm: list[float], matrix: list[float], _font: object, size: float) -> None:
        if words in text:
            found.append(abs(size * matrix[0] * ctm[0]))

    PdfReader(BytesIO(set_sheet(sheet, SOURCE, FONTS, MADE_AT))).pages[0].extract_text(
        visitor_text=look
    )
    return found


LONG_NAME = "Spielgemeinschaft Tarnholt-Niederwiesenbach Juniorinnen U17 (2. Mannschaft)"


@pytest.mark.parametrize(("count", "least"), [(3, 0.45), (9, 0.6), (20, 0.35)])
def test_a_long_name_leaves_the_times_readable(count: int, least: float) -> None:
    """It takes a second line, so that its line is not printed in tiny letters."""
    rows = (replace(ROW, who=LONG_NAME), *(ROW,) * (count - 1))
    sizes = _sizes(replace(SHEET, rows=rows), "18:00")
    assert len(sizes) == count
    assert min(sizes) >= least * letters_pt(count)


def test_a_long_venue_stays_large() -> None:
    """It takes two lines of the head before it gets small."""
    venue = "Sportanlage an der Niederwiesenbacher Landstraße beim Wasserwerk"
    sheet = replace(SHEET, venue=venue)
    assert min(_sizes(sheet, "Sportanlage")) >= 24
    assert len(pages_of(sheet)) == 1
