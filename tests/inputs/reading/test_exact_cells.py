"""Cells carry any text, and no spreadsheet takes one for a formula."""

from __future__ import annotations

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clubplanner.domain.formulas import bare_cell, guard_cell
from clubplanner.inputs.reading.exact_cells import read_cell, write_cell

TEXTS = st.one_of(
    st.text(st.characters(exclude_categories=["Cs"])),
    st.text(st.sampled_from("'=+-@\t\r\n\0\\x0d\", ")),
)


@given(TEXTS)
def test_any_text_comes_back(text: str) -> None:
    """What is written is read, also after a spreadsheet has ended its lines in another way."""
    assert read_cell(write_cell(text)) == text
    table = io.StringIO()
    csv.writer(table, lineterminator="\n").writerow([write_cell(text), "end"])
    saved = io.StringIO(table.getvalue().replace("\n", "\r\n"), newline=None)
    assert [read_cell(cell) for cell in next(csv.reader(saved))] == [text, "end"]


@given(TEXTS)
def test_no_cell_begins_like_a_formula(text: str) -> None:
    """No cell begins with a sign that OWASP names (CSV Injection): = + - @ tab, carriage return."""
    assert not write_cell(text).startswith(("=", "+", "-", "@", "\t", "\r"))
    assert bare_cell(guard_cell(text)) == text


@pytest.mark.parametrize("text", ["'t Hofke", "O'Neill", "", "U9 Ñandús", "two\nlines"])
def test_ordinary_words_stay_as_they_are(text: str) -> None:
    """Most cells are written as they are spoken."""
    assert write_cell(text) == text


def test_a_backslash_of_somebody_elses_stays_one() -> None:
    """Who types into a sheet need not know of escapes."""
    assert read_cell(r"AC\DC") == r"AC\DC"
