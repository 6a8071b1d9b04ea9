"""Marks in the journal: written and read the same, and followed only where nothing is missing."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clubplanner.domain.booked.marks import (
    LARGEST,
    Era,
    Part,
    Place,
    can_follow,
    read_mark,
    write_mark,
)

FIRST, SECOND, THIRD = Era("aa", 0, 0), Era("bb", 100, 0), Era("cc", 80, 0)
PLACES = st.builds(Place, st.integers(0, LARGEST), st.sampled_from(Part), st.integers(0, LARGEST))


@given(PLACES)
def test_a_mark_is_read_as_it_was_written(place: Place) -> None:
    """Whatever place it stands for."""
    assert read_mark(write_mark(FIRST, place)) == ("aa", place)


@pytest.mark.parametrize(
    "text",
    [
        *("", "aa", "aa-1-2", "aa-1-3-0", "aa--1-2-0", "aa-1-2-0 ", "AA-1-2-0", "aa-١-2-0"),
        *("aa-1-2-0\n", "a" * 41 + "-1-2-0", f"aa-{LARGEST + 1}-2-0", f"aa-1-0-{LARGEST + 1}"),
    ],
)
def test_anything_else_is_no_mark(text: str) -> None:
    """Cut off, written by hand, in other figures, or longer than a number can be."""
    assert read_mark(text) is None


def test_places_follow_each_other() -> None:
    """Bookings of a change, its records, its end, then the next change."""
    ordered = [
        *(Place(4), Place(5, Part.BOOKINGS, 1), Place(5, Part.BOOKINGS, 9)),
        *(Place(5, Part.RECORDS, 1), Place(5), Place(6, Part.BOOKINGS, 2)),
    ]
    assert sorted(ordered) == ordered


@pytest.mark.parametrize(
    ("eras", "name", "change", "can"),
    [
        ([FIRST], "aa", 7, True),
        ([FIRST], "aa", 200, True),
        ([FIRST], "aa", 201, False),  # never given: other records
        ([FIRST], "bb", 7, False),  # another club's, or from before it was begun anew
        ([FIRST, SECOND], "aa", 100, True),  # seen before the backup was made
        ([FIRST, SECOND], "aa", 101, False),  # seen since, and never was
        ([FIRST, SECOND], "bb", 101, True),
        ([FIRST, SECOND, THIRD], "aa", 90, False),  # an older backup was brought back later
        ([FIRST, SECOND, THIRD], "bb", 80, True),
        ([FIRST, SECOND, THIRD], "bb", 81, False),
        ([Era("aa", 0, 50)], "aa", 49, False),
        ([Era("aa", 0, 50)], "aa", 50, True),
        ([Era("aa", 0, 50), Era("bb", 100, 0)], "aa", 49, False),
    ],
)
def test_a_mark_is_followed_where_all_since_is_there(
    eras: list[Era], name: str, change: int, can: bool
) -> None:
    """Not after the moment that the records went back to, nor before what is gone."""
    assert can_follow(eras, name, Place(change), 200) is can


def test_a_change_that_is_partly_gone_is_not_followed_from_within() -> None:
    """A mark between its entries lies before what is gone."""
    assert not can_follow([Era("aa", 0, 50)], "aa", Place(50, Part.BOOKINGS, 3), 200)
