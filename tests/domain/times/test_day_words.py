"""Words of days: known once, asked by what is typed and by what is pasted."""

from __future__ import annotations

import calendar
from datetime import date

import pytest
from babel import Locale

from clubplanner.domain.times.day_words import (
    Order,
    date_in_figures,
    date_with_month,
    days_ahead_of,
    month_of,
    weekday_of,
)
from clubplanner.domain.times.days_typed import split_off_day
from clubplanner.inputs.pasting.dates import read_date
from clubplanner.inputs.pasting.weekdays import read_days
from clubplanner.language import languages

TODAY = date(2026, 11, 29)


@pytest.mark.parametrize("code", languages())
def test_every_name_that_a_language_has_is_known(code: str) -> None:
    """The names of the CLDR, by babel, wide and short, in capitals and small letters."""
    names = Locale.parse(code)
    for width in ("wide", "abbreviated"):
        for number, name in names.days["stand-alone"][width].items():
            assert weekday_of(name.rstrip(".")) == weekday_of(name.upper().rstrip(".")) == number
        for number, name in names.months["stand-alone"][width].items():
            assert month_of(name.rstrip(".")) == number


@pytest.mark.parametrize("number", range(7))
def test_weekdays_are_those_of_the_standard_library(number: int) -> None:
    """Monday is 0 as in `calendar`, and whole names are understood in cells and when typed."""
    name = calendar.day_name[number]
    assert weekday_of(name) == weekday_of(f"{name}s") == number
    assert read_days(f"every {name}").text == name[:3]
    typed, _rest = split_off_day(name, TODAY)
    assert typed is not None
    assert typed.weekday() == number


def test_only_who_types_may_cut_a_word_off() -> None:
    """Three letters are enough in a search; a table has words of its own, or none."""
    assert weekday_of("donn", may_be_cut=True) == 3
    assert month_of("Septem", may_be_cut=True) == 9
    assert weekday_of("donn") is None
    assert month_of("se", may_be_cut=True) is None
    assert days_ahead_of("HEUTE") == days_ahead_of("today") == 0
    assert days_ahead_of("gestern") == -1


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("2026-09-05", (2026, 9, 5)),
        ("5.9.26", (2026, 9, 5)),
        ("5. 9.", (0, 9, 5)),
        ("13/2", (0, 2, 13)),
        ("2/13/2027", (2027, 2, 13)),
        ("5/9", None),
        ("5/5", (0, 5, 5)),
        ("5.9.266", None),
    ],
)
def test_figures_tell_their_order_or_not(text: str, parts: tuple[int, int, int] | None) -> None:
    """With strokes and both numbers up to 12 it has to be said which is the month."""
    assert date_in_figures(text, Order.UNKNOWN) == parts


def test_months_in_words_stand_on_either_side() -> None:
    """German and English, with a year of two or four digits or none."""
    assert date_with_month("1. Jänner 2027") == (2027, 1, 1)
    assert date_with_month("Sept 5th, 26") == (2026, 9, 5)
    assert date_with_month("5 Maerz") == (0, 3, 5)
    assert date_with_month("5 Falken") is None
    assert date_with_month("Falken") is None


def test_a_date_means_the_same_typed_and_pasted() -> None:
    """What both understand is one day."""
    for text in ("2027-04-12", "12.4.27", "12/04/2027", "12 April", "April 12", "3. Maerz"):
        pasted = read_date(text, Order.DAY, TODAY)
        assert split_off_day(text, TODAY) == (date.fromisoformat(pasted.text), "")
