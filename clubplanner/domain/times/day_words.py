"""Weekdays, months and dates as people write them: the one place that knows these words.

Words are taken in every language that the program speaks, whatever the page speaks, each with the
short forms that stand in tables: "Tue", "Tues", "dienstags", "Sonnabend", "Mrz". Whether a word may
be cut off says whoever asks: one that types into a search does it, a table does not.
"""

from __future__ import annotations

import re
from enum import StrEnum
from functools import cache
from typing import TYPE_CHECKING

from babel import Locale

from clubplanner.domain.searching import plain_word
from clubplanner.language import languages, look_up, marked, speaking

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping


class Order(StrEnum):
    """Which comes first in a date of three numbers with slashes or hyphens."""

    DAY = "day"
    MONTH = "month"
    UNKNOWN = ""


_WEEKDAYS = (
    "mo mon montag montags monday mondays",
    "di die dienstag dienstags tu tue tues tuesday tuesdays",
    "mi mit mittwoch mittwochs we wed weds wednesday wednesdays",
    "do don donnerstag donnerstags th thu thur thurs thursday thursdays",
    "fr fre freitag freitags fri friday fridays",
    "sa sam samstag samstags sonnabend sonnabends sat saturday saturdays",
    "so son sonntag sonntags su sun sunday sundays",
)
"""German and English forms; where one is in both languages, it is one day."""
_MONTHS = (
    "jan januar january jänner",
    "feb februar february",
    "mar march märz mrz",
    "apr april",
    "mai may",
    "jun june juni",
    "jul july juli",
    "aug august",
    "sep sept september",
    "okt oct oktober october",
    "nov november",
    "dez dec dezember december",
)
_NEAR = ((0, "today"), (1, "tomorrow"), (-1, marked("yesterday")))
LEAST_LETTERS = 3
"""A word may be cut off after so many letters; shorter ones are words of their own."""

_ISO = re.compile(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})")
NUMBERS = re.compile(r"(\d{1,2})\s*([./-])\s*(\d{1,2})\s*(?:\2\s*(\d{4}|\d{2})?)?")
"""A date in figures: first and second number, the sign between, the year if there is one."""
_DAY_FIRST = re.compile(r"(\d{1,2})(?:st|nd|rd|th)?\.?\s*([^\W\d]+)\.?,?\s*(\d{4}|\d{2})?")
_MONTH_FIRST = re.compile(r"([^\W\d]+)\.?\s*(\d{1,2})(?:st|nd|rd|th|\.)?,?\s*(\d{4}|\d{2})?")


def weekday_of(word: str, *, may_be_cut: bool = False) -> int | None:
    """Return the weekday that a word names, 0 for Monday; None if it names none."""
    return _named(plain_word(word), _weekdays(), may_be_cut=may_be_cut)


def month_of(word: str, *, may_be_cut: bool = False) -> int | None:
    """Return the month that a word names, from 1; None if it names none."""
    return _named(plain_word(word), _months(), may_be_cut=may_be_cut)


def days_ahead_of(word: str) -> int | None:
    """Return how many days from today "today", "tomorrow" or "yesterday" is; None for others."""
    return _days_near().get(plain_word(word))


def date_in_figures(text: str, order: Order = Order.DAY) -> tuple[int, int, int] | None:
    """Read a date written in figures: "2026-09-05", "5.9.26", "5/9".

    Args:
        text: Nothing besides the date.
        order: Which comes first where the date itself does not tell; with dots it is the day.

    Returns:
        Year, month and day as they are written, the year 0 where there is none; no such day may
        exist. None where it is no such text, or the order would have to be known.
    """
    if found := _ISO.fullmatch(text):
        return int(found[1]), int(found[2]), int(found[3])
    found = NUMBERS.fullmatch(text)
    if found is None:
        return None
    first, second, year = int(found[1]), int(found[3]), _year(found[4])
    if found[2] == "." or first > 12 or first == second:
        return year, second, first
    if second > 12 or order is Order.MONTH:
        return year, first, second
    return (year, second, first) if order is Order.DAY else None


def date_with_month(text: str, *, may_be_cut: bool = False) -> tuple[int, int, int] | None:
    """Read a date with its month in words: "12. April 2027", "April 12", "5 Sept 26".

    Args:
        text: Nothing besides the date.
        may_be_cut: Whether the month may be cut off.

    Returns:
        As `date_in_figures`.
    """
    if found := _DAY_FIRST.fullmatch(text):
        day, name, year = found.groups()
    elif found := _MONTH_FIRST.fullmatch(text):
        name, day, year = found.groups()
    else:
        return None
    month = month_of(name, may_be_cut=may_be_cut)
    return None if month is None else (_year(year), month, int(day))


def _year(text: str | None) -> int:
    number = int(text or 0)
    return number + 2000 if text and len(text) == 2 else number


def _named(word: str, names: Mapping[str, int], *, may_be_cut: bool) -> int | None:
    if word in names:
        return names[word]
    if not may_be_cut or len(word) < LEAST_LETTERS:
        return None
    return next((number for name, number in names.items() if name.startswith(word)), None)


@cache
def _weekdays() -> dict[str, int]:
    return _numbered(enumerate(_WEEKDAYS), "days")


@cache
def _months() -> dict[str, int]:
    return _numbered(enumerate(_MONTHS, 1), "months")


def _numbered(listed: Iterable[tuple[int, str]], kind: str) -> dict[str, int]:
    """Return names with their numbers: those listed here, and those of every language."""
    known = {plain_word(name): number for number, names in listed for name in names.split()}
    for code in languages():
        names = getattr(Locale.parse(code), kind)["stand-alone"]
        for width in ("wide", "abbreviated"):
            for number, name in names[width].items():
                known.setdefault(plain_word(name).rstrip("."), number)
    return known


@cache
def _days_near() -> dict[str, int]:
    return {plain_word(name): days for days, word in _NEAR for name in _in_all_languages(word)}


def _in_all_languages(text: str) -> Iterator[str]:
    for code in languages():
        with speaking(code):
            yield look_up(text)
