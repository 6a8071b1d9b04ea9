"""A week on one sheet on its side, read back by a reader nobody here wrote."""

from __future__ import annotations

from dataclasses import replace
from io import BytesIO

import pytest
from pypdf import PdfReader

from clubplanner.outputs.charts.weeks.week_chart import draw_week, unnamed_blocks
from clubplanner.outputs.charts.weeks.week_values import SHEET
from clubplanner.outputs.papers.week_sheet import PAPERS, WeekSheet, set_week
from clubplanner.resources import resource_folder
from tests.builders import NOW
from tests.outputs.charts.weeks.test_week_chart import example_week

SOURCE = (resource_folder("web") / "templates" / "evening" / "week_sheet.typ").read_text("utf-8")
FONTS = (str(resource_folder("web") / "static" / "fonts"),)
SHEET_OF_WEEK = WeekSheet(
    club="Alderby Rovers",
    venue="Marsh Lane",
    week="12 Apr to 18 Apr 2027",
    drawing=draw_week(example_week(), SHEET["a4"]),
    words="Monday: 18:00–19:15 U12 Kestrels, Clubhouse third",
    notes=("Friday: not open.", "#let x = 1"),
    made="Made today.",
)


def _set(sheet: WeekSheet, paper: str = "a4") -> bytes:
    return set_week(sheet, paper, SOURCE, FONTS, NOW)


@pytest.mark.parametrize(("paper", "width_mm", "height_mm"), [("a4", 297, 210), ("a3", 420, 297)])
def test_a_week_is_one_page_on_its_side(paper: str, width_mm: float, height_mm: float) -> None:
    """One page of ISO 216 A4 or A3, on its side, with all words as they are, tagged."""
    reader = PdfReader(BytesIO(_set(SHEET_OF_WEEK, paper)))
    (page,) = reader.pages
    assert float(page.mediabox.width) == pytest.approx(width_mm * 72 / 25.4, abs=1)
    assert float(page.mediabox.height) == pytest.approx(height_mm * 72 / 25.4, abs=1)
    text = page.extract_text()
    for words in ("Marsh Lane", "12 Apr to 18 Apr 2027", "Friday: not open.", "#let x = 1"):
        assert words in text
    assert "Kestrels" in text  # the drawing's words are text, too
    assert b"/MarkInfo" in _set(SHEET_OF_WEEK, paper)


def test_twelve_pitches_stay_on_one_page() -> None:
    """More pitches make the drawing smaller, not the sheet longer."""
    drawing = draw_week(example_week(5, 12, 2), SHEET["a3"])
    assert len(PdfReader(BytesIO(_set(replace(SHEET_OF_WEEK, drawing=drawing), "a3"))).pages) == 1


def test_a_week_with_nothing_to_draw_says_so() -> None:
    """There is no empty frame: the words stand in its place."""
    sheet = replace(SHEET_OF_WEEK, drawing="", words="Nothing is booked in this week.", notes=())
    text = PdfReader(BytesIO(_set(sheet))).pages[0].extract_text()
    assert "Nothing is booked in this week." in text


def test_the_same_week_gives_the_same_bytes() -> None:
    """Nothing of the moment of setting is in the file but what is asked for."""
    assert _set(SHEET_OF_WEEK) == _set(SHEET_OF_WEEK)


def test_letters_our_font_lacks_are_set_all_the_same() -> None:
    """A venue's name in another script is no reason for no sheet."""
    assert _set(replace(SHEET_OF_WEEK, venue="運動場")).startswith(b"%PDF")


def test_only_known_papers_are_set() -> None:
    """Anything else is a fault of the caller."""
    assert tuple(SHEET) == PAPERS
    with pytest.raises(ValueError, match="not on a5"):
        _set(SHEET_OF_WEEK, "a5")


def test_blocks_without_room_for_a_name_are_listed() -> None:
    """What carries a number only has its name beside the drawing; a block with a name has not."""
    week = example_week(5, 1, 3)
    assert {block.who for block in unnamed_blocks(week, SHEET["a3"])} <= {
        "Rückrundenturnier",
        "Tarnholt Evening Runners",
    }
    crowded = example_week(7, 12, 9)
    listed = unnamed_blocks(crowded, SHEET["a4"])
    assert {block.mark for block in listed} <= {
        b.mark for p in crowded.pitches for d in p.bands for b in d.blocks
    }
