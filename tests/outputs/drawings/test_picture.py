"""Tests of the PNG pictures: the same drawing, with the shipped font and nothing of the machine."""

from __future__ import annotations

import ast
import struct
from pathlib import Path

import pytest

from clubplanner.outputs.drawings import svg
from clubplanner.outputs.drawings.picture import MOST_PIXELS, png_from_svg
from clubplanner.outputs.drawings.plan_values import AreaRole, GroundPlan, PlanArea
from clubplanner.outputs.drawings.plans import ground_plan
from clubplanner.outputs.drawings.plans.ground_plan import draw_ground_plan
from clubplanner.resources import font_files
from clubplanner.services.coach.fits import session_sizes
from clubplanner.services.showing.ground import neighbours, plans
from tests.builders import make_pitch
from tests.outputs.example_drawings import glyphs, read_grey


def a_drawing(heading: str = "U12 Kestrels") -> str:
    """Draw a pitch with one squad on its first half."""
    pitch = make_pitch()
    area = PlanArea(pitch.area("half-1").polygon, heading, ("18:00–19:15",), AreaRole.OWN)
    return draw_ground_plan(GroundPlan(pitch, "Top pitch", "In words", (area,), shows_size=True))


@pytest.mark.parametrize("width", [1, 360, 1080, MOST_PIXELS])
def test_a_picture_is_as_wide_as_asked(width: int) -> None:
    """The picture has the width asked for and the height that keeps the drawing's shape."""
    drawing = a_drawing()
    png = png_from_svg(drawing, width, font_files())
    assert png[:8] == b"\x89PNG\r\n\x1a\n"
    found, height = struct.unpack(">II", png[16:24])
    _, _, wide, tall = map(float, drawing.partition('viewBox="')[2].partition('"')[0].split())
    assert found == width
    assert abs(height - width * tall / wide) <= max(1, width / 1000)


@pytest.mark.parametrize("width", [0, -5, MOST_PIXELS + 1, 10**9])
def test_absurd_widths_are_refused(width: int) -> None:
    """The renderer is never asked for a canvas that would end the process."""
    with pytest.raises(ValueError, match="1 to 4000 pixels"):
        png_from_svg(a_drawing(), width, font_files())


def test_the_same_drawing_gives_the_same_bytes() -> None:
    """Rendering twice gives the same bytes, another name other ones."""
    first = png_from_svg(a_drawing(), 720, font_files())
    png_from_svg.cache_clear()
    again = png_from_svg(a_drawing(), 720, font_files())
    assert first == again
    assert png_from_svg(a_drawing(), 720, font_files()) is again
    assert first != png_from_svg(a_drawing("U14 Harriers"), 720, font_files())


def test_words_are_drawn_with_the_shipped_font_alone() -> None:
    """Without the shipped fonts no word appears, so a machine's own fonts never matter."""
    drawing = a_drawing()
    with_font = read_grey(png_from_svg(drawing, 720, font_files()))
    without = read_grey(png_from_svg(drawing, 720, ()))
    assert (with_font < 90).sum() > (without < 90).sum() + 500


def test_paper_is_white_all_round() -> None:
    """The picture's edge is white, not see-through, whatever the page behind it."""
    grey = read_grey(png_from_svg(a_drawing(), 360, font_files()))
    assert grey[:3].min() == 255
    assert grey[-3:].min() == 255
    assert grey[:, :3].min() == 255


def words_of(module_file: str) -> set[str]:
    """Return every character of a module's own texts, documentation left out."""
    tree = ast.parse(Path(module_file).read_text(encoding="utf-8"))
    documented = {
        id(node.value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
    }
    return {
        character
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
        if id(node) not in documented
        for character in node.value
    }


def test_the_font_has_every_character_of_our_own_words() -> None:
    """Each character that drawings can write of their own accord has a glyph in both weights."""
    ours = set("0123456789")
    for module in (ground_plan, svg, plans, session_sizes, neighbours):
        ours |= words_of(str(module.__file__))
    wanted = {ch for ch in ours if ch.isprintable()} - set("⌫")
    assert {"–", "·", "×", "…", "N"} <= wanted
    assert sorted(wanted - glyphs()) == []


def test_the_font_has_the_letters_of_european_names() -> None:
    """Names in Latin letters of Europe's languages are drawn, not boxes."""
    letters = "àâäãåæçèéêëìíîïðñòóôöõøœùúûüýÿþßłńśźżąęćčďěňřšťůžőűğışțăāēīūķļņģđħŵŷ’“”‘„«»"
    assert sorted(set(letters + letters.upper()) - glyphs() - set("ẞ")) == []
