"""Somebody is recognised in what records say, and nobody else is."""

from __future__ import annotations

import json
import unicodedata
from typing import Literal, TypeAlias

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clubplanner.domain.club.persons.traces import Traces

Form: TypeAlias = Literal["NFC", "NFD"]

ANNA = Traces(("Anna Weber",), ("anna@example.org",), ("+44 1632 960123",))


@pytest.mark.parametrize(
    "text",
    [
        "Anna Weber",
        "swapped with anna  weber, as agreed",
        "Anna Weber's evening",
        "Anna Webers Abend",
        "write to ANNA@example.org.",
        "<anna@example.org>",
        "ring 01632 960123",
        "ring +441632960123",
        "ring +44 (1632) 960-123",
    ],
)
def test_somebody_is_found_however_they_are_written(text: str) -> None:
    """Capitals, blanks, a genitive and the way a number is set out make no difference."""
    assert ANNA.are_in(text)
    assert not ANNA.are_in(ANNA.rewrite(text, "somebody"))


@pytest.mark.parametrize("known", ["+44 1632 960123", "01632 960123", "+441632960123"])
@pytest.mark.parametrize(
    "stored", ["01632960123", "+44 1632 960123", "0044 1632 960 123", "+44 (0) 1632 960123"]
)
def test_a_number_is_the_same_at_home_and_from_abroad(known: str, stored: str) -> None:
    """The code of the country takes the place of the nought (ITU-T E.123)."""
    traces = Traces(phones=(known,))
    assert traces.are_in(f"ring {stored}, not 01632 960124")
    assert traces.rewrite(f"ring {stored}!", "x") == "ring x!"
    assert traces.are_all_of(stored)
    (pattern,) = traces.patterns()
    assert _is_like(pattern, stored)


@pytest.mark.parametrize(
    "text",
    [
        "Joanna Weber",
        "Anna Weberling",
        "Anna, Weber Street",
        "joanna@example.org",
        "anna@example.org.uk",
        "anna@example.organic",
        "944 1632 960123 4",
        "",
    ],
)
def test_nobody_else_is_taken_for_them(text: str) -> None:
    """Longer names, addresses and numbers are those of others."""
    assert not ANNA.are_in(text)


def test_a_name_of_one_word_counts_where_it_stands_alone() -> None:
    """Inside a sentence “Robin” may be a street or a squad."""
    robin = Traces(("Robin",))
    assert robin.are_in(" robin ")
    assert not robin.are_in("Robin Lane is closed")


@pytest.mark.parametrize("stored", ["NFC", "NFD"])
@pytest.mark.parametrize("known", ["NFC", "NFD"])
def test_letters_with_marks_are_the_same_either_way(known: Form, stored: Form) -> None:
    """A mark may be part of the letter or put to it (Unicode Standard Annex 15)."""
    traces = Traces((unicodedata.normalize(known, "Jörg Müller"),))
    assert traces.are_in(unicodedata.normalize(stored, "für Jörg Müller"))


def test_values_are_rewritten_all_through() -> None:
    """Keys count as well, and what is no text stays."""
    value = {"Anna Weber": [1, None, {"by": "Anna Weber"}], "n": 1.5, "ok": True}
    assert ANNA.rewrite_all(value, "x") == {"x": [1, None, {"by": "x"}], "n": 1.5, "ok": True}


def _is_like(pattern: str, text: str) -> bool:
    """Tell what SQL's LIKE does with a pattern of letters and percent signs, capitals alike."""
    at, text = 0, text.lower()
    for part in pattern.lower().split("%"):
        at = text.find(part, at)
        if at < 0:
            return False
        at += len(part)
    return True


@given(
    st.text(st.characters(categories=["L", "Nd", "Zs", "Pd"]), min_size=1).filter(str.strip),
    st.text(max_size=5),
    st.sampled_from(["NFC", "NFD"]),
)
def test_the_pattern_overlooks_nothing(name: str, around: str, form: Form) -> None:
    """Whatever speaks of somebody is like the pattern, as text and as JSON writes it."""
    traces = Traces((name,))
    text = f"{around} {unicodedata.normalize(form, name)} {around}"
    (pattern,) = traces.patterns()
    if traces.are_in(text):
        assert _is_like(pattern, text)
        assert _is_like(pattern, json.dumps([text]))
