"""A day as a person types it into one field: "12 April", "12.4.", "next tue", "morgen", 2027-04-12.

Words are taken in every language that the program speaks, whatever the page speaks: a secretary
who reads German pages still types "Tue".
"""

from __future__ import annotations

import re
from datetime import date, timedelta
from typing import TYPE_CHECKING

from clubplanner.domain.times.day_words import (
    date_in_figures,
    date_with_month,
    days_ahead_of,
    weekday_of,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

_YEAR = re.compile(r"\d{4}")
_IN_FIGURES = re.compile(r"\d{4}-\d{1,2}-\d{1,2}|[\d./]+")
"""What may be a date in one field: "7-9" is rather an age group."""
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
    parts = date_in_figures(word) if _IN_FIGURES.fullmatch(word) else None
    return None if parts is None else _near(*parts, today)


def _relative(words: Sequence[str], today: date) -> date | None:
    if len(words) != 1:
        return None
    ahead = days_ahead_of(words[0])
    if ahead is not None:
        return today + timedelta(days=ahead)
    weekday = weekday_of(words[0], may_be_cut=True)
    return None if weekday is None else today + timedelta(days=(weekday - today.weekday()) % 7)


def _is_weekday_of(day: date, word: str) -> bool:
    """Tell whether a word says once more what day it is: "Wed 25 November"."""
    return weekday_of(word, may_be_cut=True) == day.weekday()


def _month_by_name(words: Sequence[str], today: date) -> date | None:
    """Read "12 April", "12. April 2027", "April 12", with or without a year at the end."""
    if len(words) > 2 and not _YEAR.fullmatch(words[2]):
        return None
    parts = date_with_month(" ".join(words), may_be_cut=True)
    return None if parts is None else _near(*parts, today)


def _near(year: int, month: int, day: int, today: date) -> date | None:
    if year:
        return _date(year, month, day)
    near = (_date(today.year + step, month, day) for step in (-1, 0, 1))
    return min((d for d in near if d), key=lambda d: abs(d - today), default=None)


def _date(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day)
    except ValueError:
        return None
