"""No spreadsheet program takes a cell for a formula, and whoever reads it has the same again."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clubplanner.domain.formulas import bare_cell, guard_cell

SIGNS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
"""What OWASP names (CSV Injection; from memory)."""


@given(st.one_of(st.text(), st.text(st.sampled_from("'=+-@\t ＝a"))))
def test_what_is_guarded_comes_back(text: str) -> None:
    """Any text, apostrophes of its own included; none begins like a formula."""
    assert bare_cell(guard_cell(text)) == text
    assert not guard_cell(text).startswith(SIGNS)


@pytest.mark.parametrize("text", ["'t Hofke", "O'Neill", "", "U9", "a=b", "2-1"])
def test_ordinary_words_stay_as_they_are(text: str) -> None:
    """An apostrophe alone, or a sign within, is nothing to guard."""
    assert guard_cell(text) == text
    assert bare_cell(text) == text
