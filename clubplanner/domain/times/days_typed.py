"""A day as a person types it into one field: "12 April", "12.4.", "next tue", "morgen", 2027-04-12.

Words are taken in every language that the program speaks, whatever the page speaks: a secretary
who reads German pages still types "Tue".
"""

from __future__ import annotations

import re
from datetime import date, timedelta
from functools import cache
from typing import TYPE_CHECKING

from babel import Locale

from clubplanner.domain.searching import search_words
from clubplanner.language import languages, look_up, marked, speaking

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

_ISO = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})")
_BY_DOTS = re.compile(r"(\d{1,2})\.(\d{1,2})\.?(\d{4}|\d{2})?")
_BY_STROKES = re.compile(r"(\d{1,2})/(\d{1,2})(?:/(\d{4}|\d{2}))?")
_NUMBER = re.compile(r"\d{1,2}(?:st|nd|rd|th|\.)?")
_YEAR = re.compile(r"\d{4}")
LEAST_LETTERS = 3
"""A weekday or month may be cut off after so many letters; shorter ones are words of their own."""
MOST_WORDS = 3


def split_off_day(text: str, today: date) -> tuple[date | None, str]:
    """Take the day out of what somebody typed.

    Args:
        text: "U13 Kestrels 12 April", "tomorrow", "Fri", …
        today: The day at the club. A date without a year is the one nearest to it; a weekday the
            coming one, today among them.

    Returns:
        The first day named, None where there is none, and the words besides it.
    """
    words = text.split()
    for read in (_exact, _relative):
        for start in range(len(words)):
            for end in range(min(len(words), start + MOST_WORDS), start, -1):
                day = read(words[start:end], today)
                if day is not None:
                    rest = [w for w in (*words[:start], *words[end:]) if not _is_weekday_of(day, w)]
                    return day, " ".join(rest)
    return None, " ".join(words)


def _exact(words: Sequence[str], today: date) -> date | None:
    if len(words) == 1:
        return _in_figures(words[0], today)
    return _month_by_name([w.rstrip(",") for w in words], today)


def _in_figures(word: str, today: date) -> date | None:
    if found := _ISO.fullmatch(word):
        return _date(*map(int, found.groups()))
    found = _BY_DOTS.fullmatch(word) or _BY_STROKES.fullmatch(word)
    if found is None:
        return None
    day, month, year = found.groups()
    return _near(int(day), int(month), year, today)


def _relative(words: Sequence[str], today: date) -> date | None:
    if len(words) != 1:
        return None
    plain = _plain(words[0])
    for days, names in _days_near():
        if plain in names:
            return today + timedelta(days=days)
    for weekday, names in _weekdays():
        if _begins(plain, names):
            return today + timedelta(days=(weekday - today.weekday()) % 7)
    return None


def _is_weekday_of(day: date, word: str) -> bool:
    """Tell whether a word says once more what day it is: "Wed 25 November"."""
    return _begins(_plain(word), _weekdays()[day.weekday()][1])


def _month_by_name(words: Sequence[str], today: date) -> date | None:
    """Read "12 April", "12. April 2027", "April 12", with or without a year at the end."""
    year = words[2] if len(words) > 2 else None
    if year is not None and not _YEAR.fullmatch(year):
        return None
    for number, name in ((words[0], words[1]), (words[1], words[0])):
        if _NUMBER.fullmatch(number):
            for month, names in _months():
                if _begins(_plain(name), names):
                    return _near(int(re.sub(r"\D", "", number)), month, year, today)
    return None


def _near(day: int, month: int, year: str | None, today: date) -> date | None:
    if year is not None:
        return _date(int(year) if len(year) == 4 else 2000 + int(year), month, day)
    near = (_date(today.year + step, month, day) for step in (-1, 0, 1))
    return min((d for d in near if d), key=lambda d: abs(d - today), default=None)


def _date(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day)
    except ValueError:
        return None


def _begins(word: str, names: frozenset[str]) -> bool:
    """Tell whether a word is one of some names, or the beginning of one that is long enough."""
    if not word or word.isdecimal():
        return False
    if len(word) < LEAST_LETTERS:
        return word in names
    return any(name.startswith(word) for name in names)


@cache
def _days_near() -> tuple[tuple[int, frozenset[str]], ...]:
    return tuple(
        (days, frozenset(map(_plain, _in_all_languages(name))))
        for days, name in ((0, "today"), (1, "tomorrow"), (-1, marked("yesterday")))
    )


@cache
def _weekdays() -> tuple[tuple[int, frozenset[str]], ...]:
    return tuple((n, frozenset(_names("days", n))) for n in range(7))


@cache
def _months() -> tuple[tuple[int, frozenset[str]], ...]:
    return tuple((n, frozenset(_names("months", n))) for n in range(1, 13))


def _names(kind: str, number: int) -> Iterator[str]:
    for code in languages():
        of_kind = getattr(Locale.parse(code), kind)["stand-alone"]
        for width in ("wide", "abbreviated"):
            yield _plain(of_kind[width][number])


def _in_all_languages(text: str) -> Iterator[str]:
    for code in languages():
        with speaking(code):
            yield look_up(text)


def _plain(word: str) -> str:
    return "".join(search_words(word))
