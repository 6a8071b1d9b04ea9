"""Letters that the font of our pictures lacks are written without their marks, never as boxes."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clubplanner.outputs.drawings.glyphs import LETTERS, with_known_letters
from clubplanner.outputs.drawings.picture import png_from_svg
from clubplanner.outputs.drawings.svg import document, label
from clubplanner.resources import font_files
from tests.outputs.example_drawings import glyphs


def test_the_list_is_the_fonts() -> None:
    """It names exactly what both font files have."""
    assert {ch for ch in glyphs() if ord(ch) > 126} == LETTERS


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("Tōrō Ōrākei", "Toro Orākei"),
        ("Nguyễn Hữu", "Nguyen Huu"),
        ("Kestrels–Gjógv, Łódź", "Kestrels–Gjógv, Łódź"),
        ("ﬁnal", "final"),
        ("東京", "東京"),
        ("＜b＞ ＆", "＜b＞ ＆"),
    ],
)
def test_names_stay_readable(text: str, written: str) -> None:
    """Only what is missing changes; nothing becomes markup."""
    assert with_known_letters(text) == written


def test_a_picture_shows_the_plain_letter() -> None:
    """The two names give the same picture, and not that of boxes."""

    def drawn(name: str) -> bytes:
        return png_from_svg(document(200, 40, "t", "d", [label(name, 100, 20)]), 200, font_files())

    assert drawn("Tōrō") == drawn("Toro") != drawn("東r東")


@given(st.text())
def test_markup_never_appears(text: str) -> None:
    """Whatever is replaced, no sign of markup comes up that was not there."""
    written = with_known_letters(text)
    for sign in "<>&\"'":
        assert written.count(sign) == text.count(sign)
