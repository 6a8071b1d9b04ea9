"""Dates as people write them: "05.09.2026", "Sa, 5.9.", "9/5/26", "5 September 2026".

Whether day or month comes first in "9/5/26" is a matter of the whole column: where no date of it
says so, the person is asked once.
"""

from __future__ import annotations

import re
from datetime import date, timedelta
from typing import TYPE_CHECKING

from clubplanner.domain.times.day_words import (
    NUMBERS,
    Order,
    date_in_figures,
    date_with_month,
    weekday_of,
)
from clubplanner.domain.times.times import day_in_words
from clubplanner.inputs.pasting.reading import Reading
from clubplanner.inputs.reading.faults import show_value
from clubplanner.language import _, weekday_in_words

if TYPE_CHECKING:
    from collections.abc import Iterable


FIRST_DAY, LAST_DAY = date(2000, 1, 1), date(2199, 12, 31)
_SERIAL_FROM = date(1899, 12, 30)
"""Day 0 of the numbers by which spreadsheets keep dates (ECMA-376 part 1, 18.17.4.1)."""
_SERIAL = re.compile(r"(\d{5})(?:[.,]0+)?")
_WEEKDAY = re.compile(r"^\s*([^\W\d]+)\.?,?\s+(?=\d)|^\s*([^\W\d]+)\.?,?\s+(?=[^\W\d])")
_CLOCK = re.compile(r"(?:,|T|\s)\s*(\d{1,2}[:.]\d{2})(?::\d{2}(?:\.\d+)?)?\s*(?:uhr|h)?\s*$", re.I)


def part_clock(text: str) -> tuple[str, str]:
    """Part a date from the time of day behind it; the time is blank where there is none."""
    found = _CLOCK.search(text)
    if not found or not re.search(r"\d", text[: found.start()]):
        return text.strip(), ""
    before = text[: found.start()].strip()
    if re.fullmatch(r"\d{1,2}[./-]?", before):  # "5. 9.26" is one date
        return text.strip(), ""
    return before, found[1]


def find_order(cells: Iterable[str]) -> Order | None:
    """Return which comes first in the dates of a column.

    Returns:
        `DAY` or `MONTH` where a date that can only be read so says it; `UNKNOWN` where there are
        dates that could be both and none says it; None where the question does not arise.
    """
    is_open = False
    for cell in cells:
        found = NUMBERS.fullmatch(_bare(part_clock(cell)[0]))
        if not found or found[2] == ".":
            continue
        first, second = int(found[1]), int(found[3])
        if first > 12:
            return Order.DAY
        if second > 12:
            return Order.MONTH
        is_open = is_open or first != second
    return Order.UNKNOWN if is_open else None


def read_date(text: str, order: Order, today: date) -> Reading:
    """Read a date as year-month-day.

    Args:
        text: The cell; a weekday before the date is checked, a time behind it is left out.
        order: What comes first where it is not told by the date itself.
        today: Where no year is written, the next such date is meant, up to a month back included.
    """
    words = part_clock(text)[0]
    bare = _bare(words)
    numbers = _parts(bare, order)
    if numbers is None and order is Order.UNKNOWN and NUMBERS.fullmatch(bare):
        both = [_parts(bare, one) for one in (Order.DAY, Order.MONTH)]
        days = [_day(one, today) for one in both if one is not None]
        choices = tuple(day.isoformat() for day in days if day is not None)
        fault = _("Which number is the month in %(words)s?", words=show_value(words))
        return Reading(faults=(fault,), choices=choices)
    day = None if numbers is None else _day(numbers, today)
    if day is None:
        fault = _(
            "%(words)s is not a date; write it like 2026-11-28 or 28/11/2026",
            words=show_value(text),
        )
        return Reading(faults=(fault,))
    weekday = _weekday_before(words)
    if weekday is not None and weekday != day.weekday():
        fault = _(
            "%(day)s is no %(weekday)s, as %(words)s says; correct the date",
            day=day_in_words(day),
            weekday=weekday_in_words(weekday),
            words=show_value(words),
        )
        return Reading(faults=(fault,), choices=_near(day, weekday))
    return Reading(day.isoformat())


def _near(day: date, weekday: int) -> tuple[str, ...]:
    """Return what may have been meant by a date of another weekday: the last year's, days near."""
    near = [day + timedelta(days=n) for n in range(-6, 7)]
    last_year = _day((day.year - 1, day.month, day.day), day)
    found = [*([last_year] if last_year else []), *near]
    meant = [one for one in found if one.weekday() == weekday]
    return tuple(one.isoformat() for one in [*meant, day])


def _parts(bare: str, order: Order) -> tuple[int, int, int] | None:
    """Return year, month and day; 0 for a year that is not written."""
    if found := _SERIAL.fullmatch(bare):
        day = _SERIAL_FROM + timedelta(days=int(found[1]))
        return day.year, day.month, day.day
    return date_in_figures(bare, order) or date_with_month(bare)


def _day(numbers: tuple[int, int, int], today: date) -> date | None:
    year, month, day = numbers
    try:
        if year:
            found = date(year, month, day)
            return found if FIRST_DAY <= found <= LAST_DAY else None
        earliest = today - timedelta(days=31)
        return next(
            one
            for one in (date(earliest.year + n, month, day) for n in range(2))
            if one >= earliest
        )
    except (ValueError, StopIteration):
        return None


def _weekday_before(text: str) -> int | None:
    found = _WEEKDAY.match(text)
    return weekday_of(found[1] or found[2]) if found else None


def _bare(text: str) -> str:
    """Leave out a weekday before the date."""
    if _weekday_before(text) is not None:
        text = _WEEKDAY.sub("", text, count=1)
    return " ".join(text.split())
