"""Squads, seasons, keys and problems."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clubplanner.domain.club.squads import LeastGround, age_from_group
from clubplanner.domain.keys import key_from_name
from clubplanner.domain.problems import Problem
from clubplanner.domain.times.seasons import Break, Stretch, training_dates
from tests.builders import make_ask, make_squad

AUTUMN = Stretch("autumn", "Autumn", date(2026, 10, 19), date(2026, 11, 1))


@pytest.mark.parametrize(
    ("text", "age"),
    [
        ("U13", 13),
        ("u7", 7),
        ("Under 13s", 13),
        ("under-9", 9),
        ("u13 girls", 13),
        ("U13A", 13),
        ("U13/14", 13),
        (" U 11 ", 11),
        ("Adult", None),
        ("Veterans 35", None),
        ("13", None),
        ("U", None),
        ("U113", None),
        ("Club 13", None),
        ("", None),
    ],
)
def test_the_age_of_an_under_group_is_read(text: str, age: int | None) -> None:
    """Under groups in their usual spellings have an age; nothing else has."""
    assert age_from_group(text) == age
    assert make_squad(age_group=text).age == age


def test_an_ask_takes_any_ground_unless_it_says_so() -> None:
    """Without a wish the least ground asks for nothing."""
    assert make_ask().least_ground == LeastGround(0.0, 0.0, "")


def test_a_stretch_is_trained_on_every_date_outside_its_breaks() -> None:
    """First and last dates of stretch and break are included; breaks may overlap or lie outside."""
    breaks = [
        Break("Half-term", date(2026, 10, 24), date(2026, 10, 30)),
        Break("Resowing", date(2026, 10, 29), date(2026, 10, 31)),
        Break("Winter", date(2026, 12, 20), date(2027, 1, 3)),
    ]
    days = training_dates(AUTUMN, breaks)
    assert days == (*(date(2026, 10, n) for n in range(19, 24)), date(2026, 11, 1))
    assert len(training_dates(AUTUMN, [])) == 14


def test_a_break_over_the_whole_stretch_leaves_nothing() -> None:
    """No dates are left, and a stretch that ends before it starts has none either."""
    assert training_dates(AUTUMN, [Break("All", AUTUMN.starts_on, AUTUMN.ends_on)]) == ()
    assert training_dates(Stretch("x", "X", date(2026, 2, 2), date(2026, 2, 1)), []) == ()


@pytest.mark.parametrize(
    ("name", "key"),
    [
        ("Marsh Lane", "marsh-lane"),
        ("  U12 – Kestrels (B)! ", "u12-kestrels-b"),
        ("Große Wiese", "grosse-wiese"),
        ("GROẞE WIESE", "grosse-wiese"),
        ("Øst Sør", "ost-sor"),
        ("Café_Été", "cafe-ete"),
        ("Ελλάδα", "ελλαδα"),
        ("北 操场", "北-操场"),
        ("½ pitch", "1-2-pitch"),
        ("!!!", "unnamed"),
        ("", "unnamed"),
    ],
)
def test_a_key_is_made_from_a_name(name: str, key: str) -> None:
    """Case, accents and signs go; letters of other scripts stay."""
    assert key_from_name(name) == key


@given(name=st.text(max_size=30))
def test_a_key_is_its_own_key(name: str) -> None:
    """A key is never empty, has no white space or capitals, and stays as it is."""
    key = key_from_name(name)
    assert key
    assert key_from_name(key) == key
    assert not any(character.isspace() for character in key)
    assert not key.startswith("-")
    assert not key.endswith("-")


def test_a_problem_says_where_it_stands() -> None:
    """With a place it is named first; without one the message stands alone."""
    message = "Write the minutes as a number."
    assert str(Problem("squads.csv, row 4", "not-a-number", message)) == (
        f"squads.csv, row 4: {message}"
    )
    assert str(Problem("", "not-a-number", message)) == message
