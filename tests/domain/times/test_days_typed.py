"""A day in what somebody typed."""

from __future__ import annotations

from datetime import date

import pytest

from clubplanner.domain.times.days_typed import split_off_day

TODAY = date(2026, 11, 29)
"""A Sunday."""


@pytest.mark.parametrize(
    ("typed", "day"),
    [
        ("2027-04-12", date(2027, 4, 12)),
        ("12.4.", date(2027, 4, 12)),
        ("12.4.2025", date(2025, 4, 12)),
        ("12.4.25", date(2025, 4, 12)),
        ("12/4", date(2027, 4, 12)),
        ("12/04/2027", date(2027, 4, 12)),
        ("12 April", date(2027, 4, 12)),
        ("April 12", date(2027, 4, 12)),
        ("12th apr 2028", date(2028, 4, 12)),
        ("3. März", date(2027, 3, 3)),
        ("3 maerz", date(2027, 3, 3)),
        ("1. Dez.", date(2026, 12, 1)),
        ("29 Sept", date(2026, 9, 29)),
        ("today", TODAY),
        ("Morgen", date(2026, 11, 30)),
        ("yesterday", date(2026, 11, 28)),
        ("Sunday", TODAY),
        ("tue", date(2026, 12, 1)),
        ("Freitag", date(2026, 12, 4)),
        ("Do", date(2026, 12, 3)),
        ("29 February", None),
        ("29.2.2028", date(2028, 2, 29)),
        ("31.4.", None),
        ("99/99", None),
        ("13", None),
        ("", None),
    ],
)
def test_a_day_is_read_in_the_ways_people_type_it(typed: str, day: date | None) -> None:
    """In figures or words, in each language, without a year the nearest one, a weekday to come."""
    assert split_off_day(typed, TODAY)[0] == day


@pytest.mark.parametrize(
    ("typed", "rest"),
    [
        ("U13 Kestrels 12 April", "U13 Kestrels"),
        ("12 April 2027 kestrels", "kestrels"),
        ("kes fri", "kes"),
        ("Wed 25 November", ""),
        ("kes Mittwoch 25.11.", "kes"),
        ("Thu 25.11.2026", "Thu"),
        ("U13 Kestrels", "U13 Kestrels"),
        ("Mayfield cup", "Mayfield cup"),
        ("Marlin 4", "Marlin 4"),
    ],
)
def test_what_is_besides_the_day_is_left(typed: str, rest: str) -> None:
    """Names stay as they were typed, also such as begin like a month or stand beside a number."""
    assert split_off_day(typed, TODAY)[1] == rest


@pytest.mark.parametrize("name", ["Fripps", "Dorn", "Mia", "May", "Jan", "Mariner"])
def test_names_that_begin_like_a_day_are_names(name: str) -> None:
    """A month alone is no day, nor is a name that goes on where a weekday would not."""
    assert split_off_day(name, TODAY) == (None, name)


def test_a_weekday_that_is_a_name_too_is_taken_as_the_day() -> None:
    """Samstag begins so: a secretary who means a person finds both."""
    assert split_off_day("Sam", TODAY) == (date(2026, 12, 5), "")
