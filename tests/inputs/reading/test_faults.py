"""Faults of a file, and the values that they repeat."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clubplanner.inputs.reading.faults import (
    LONGEST_SHOWN,
    Faults,
    decode_text,
    list_words,
    show_value,
)


@pytest.mark.parametrize(
    ("data", "text"),
    [
        (b"squad,players", "squad,players"),
        ("Müller".encode(), "Müller"),
        (b"\xef\xbb\xbfsquad", "squad"),
        (b"M\xfcller \x80 5", "Müller € 5"),
        (b"\x81\xfc", "\ufffdü"),
        (b"", ""),
    ],
)
def test_text_is_read_however_a_spreadsheet_saved_it(data: bytes, text: str) -> None:
    """UTF-8 with and without a mark in front, else Windows-1252 with its gaps marked."""
    assert decode_text(data) == text


@given(st.binary())
def test_any_bytes_can_be_read_as_text(data: bytes) -> None:
    """No file is refused for its bytes, and whatever else is in it, plain letters stay."""
    plain = [letter for letter in decode_text(data) if letter < "\x80"]
    assert plain == [chr(byte) for byte in data if byte < 0x80]


@pytest.mark.parametrize(
    ("words", "text"),
    [([], ""), (["a"], "a"), (["a", "b"], "a or b"), (["a", "b", "c"], "a, b or c")],
)
def test_choices_are_listed_as_one_says_them(words: list[str], text: str) -> None:
    """Commas between, "or" before the last, nothing for nothing."""
    assert list_words(words) == text


def test_a_fault_names_file_place_and_advice() -> None:
    """The place follows the file's name; the sentence ends with one full stop."""
    faults = Faults("squads.csv")
    faults.add("row 4", "missing", "Write a name.")
    faults.add("", "empty", "Nothing here")
    assert [f"{fault}" for fault in faults.found] == [
        "squads.csv, row 4: Write a name.",
        "squads.csv: Nothing here.",
    ]


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        ("abc", "“abc”"),
        (True, "“true”"),
        (1.5, "“1.5”"),
        (12, "“12”"),
        (date(2026, 9, 7), "“2026-09-07”"),
        ([1, 2.5, "a"], "“[1, 2.5, 'a']”"),
        ("x" * 500, f"“{'x' * LONGEST_SHOWN}…”"),
    ],
)
def test_a_value_is_repeated_as_it_was_written_but_never_at_length(
    value: object, shown: str
) -> None:
    """Short values stand as they are; a long one is cut, a huge number described."""
    assert show_value(value) == shown


def test_a_huge_number_is_described() -> None:
    """Digits without end help nobody and cannot always be written, alone or in a list."""
    assert show_value(10**5000) == "so large a number"
    assert show_value([-(10**5000)]) == "“[…]”"


def test_a_deeply_nested_value_can_be_shown() -> None:
    """A list within a list within a list … is shown by its outermost layers."""
    nested: list[object] = []
    for _ in range(100_000):
        nested = [nested]
    assert show_value(nested) == "“[[[...]]]”"
    while nested:  # taken apart by hand: a deep one is too much for the interpreter's own way
        nested = nested.pop()  # type: ignore[assignment]
