"""Dates of a season moved to the next one: weekdays stay weekdays, holidays follow their own dates.

All stretches move by one number of whole weeks, so that none grows, shrinks or meets another. Which
number, the season's first date decides: the first Monday of September becomes the first Monday of
September. Fifty-two weeks every year would creep towards the spring by a day or two a year.
"""

from __future__ import annotations

import re
from calendar import monthrange
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

from clubplanner.language import _

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from clubplanner.domain.times.seasons import Break
    from clubplanner.domain.times.year import Holiday

A_YEAR = re.compile(r"(?<![0-9])((?:19|20)[0-9]{2})(?:(\s?[/–-]\s?)((?:19|20)?[0-9]{2}))?(?![0-9])")
SHORT_YEARS = re.compile(r"(?<![0-9/])([0-9]{2})(/)([0-9]{2})(?![0-9/])")


@dataclass(frozen=True, slots=True)
class MovedBreak:
    """A break in the next season.

    Attributes:
        starts_on: First date.
        ends_on: Last date, included.
        doubt: Why somebody should look at the dates, a sentence; blank for nothing.
    """

    starts_on: date
    ends_on: date
    doubt: str = ""


def same_weekday_of_month(day: date, years: int) -> date:
    """Return the same weekday of the same month, such as its first Monday, years on.

    A fifth one becomes the last one where there are four: a 29 February needs no leap year.
    """
    nth = (day.day - 1) // 7
    first = date(day.year + years, day.month, 1)
    found = 1 + (day.weekday() - first.weekday()) % 7 + 7 * nth
    if found > monthrange(first.year, first.month)[1]:
        found -= 7
    return first.replace(day=found)


def weeks_on(day: date, years: int = 1) -> int:
    """Return by how many weeks a season moves whose first date this is: 52 or 53 for a year."""
    return (same_weekday_of_month(day, years) - day).days // 7


def years_on(first: date, last: date, today: date) -> int:
    """Return how many years on the next season lies: the first that is not over, 1 or more."""
    years = 1
    while last + timedelta(weeks=weeks_on(first, years)) < today:
        years += 1
    return years


def move_break(
    gap: Break, weeks: int, before: Sequence[Holiday], after: Sequence[Holiday]
) -> MovedBreak:
    """Move a break: with the season, or with the public holidays that it was made for.

    Args:
        gap: The break.
        weeks: By how many weeks the season moves.
        before: Public holidays around the season so far; empty where none count.
        after: Those around the next one.

    Returns:
        Its dates: those of the holidays where it holds nothing else; else as the season moves if
        its holidays still lie in it; else as they move if all do so by the same whole weeks, as
        those about Easter do; else as the season, made longer until it holds them.
    """
    shift = timedelta(weeks=weeks)
    moved = MovedBreak(gap.starts_on + shift, gap.ends_on + shift)
    inside = [holiday for holiday in before if gap.holds(holiday.day)]
    pairs = [(one, find_again(one, shift, after)) for one in inside]
    lost = [one.name for one, again in pairs if again is None]
    if lost:
        doubt = _("%(name)s is not among the public holidays of the next season.", name=lost[0])
        return MovedBreak(moved.starts_on, moved.ends_on, doubt)
    days = [again.day for _one, again in pairs if again is not None]
    if not days:
        return moved
    if len(inside) == (gap.ends_on - gap.starts_on).days + 1:
        return MovedBreak(min(days), max(days))
    if all(moved.starts_on <= day <= moved.ends_on for day in days):
        return moved
    by = {again.day - one.day for one, again in pairs if again is not None}
    if len(by) == 1 and (only := by.pop()).days % 7 == 0:
        return MovedBreak(gap.starts_on + only, gap.ends_on + only)
    doubt = _("Made longer, so that it holds its public holidays.")
    return MovedBreak(min(*days, moved.starts_on), max(*days, moved.ends_on), doubt)


def find_again(holiday: Holiday, shift: timedelta, after: Iterable[Holiday]) -> Holiday | None:
    """Return a public holiday as it comes again: of one name, the nearest to the season's move."""
    names = _names(holiday.name)
    same = [one for one in after if _names(one.name) & names]
    target = holiday.day + shift
    found = min(same, key=lambda one: (abs((one.day - target).days), one.day), default=None)
    return None if found is None or abs((found.day - target).days) > 45 else found


def name_on(name: str, years: int, starts_on: date, ends_on: date) -> str:
    """Return what a stretch is called in the next season.

    Args:
        name: What it was called.
        years: How many years on.
        starts_on: Its first date there.
        ends_on: Its last date, included.

    Returns:
        Years in the name moved: "Autumn 2026" → "Autumn 2027", "Winter 2026/27" → "Winter
        2027/28"; else the year put behind.
    """
    found = SHORT_YEARS.sub(lambda m: _years_moved(m, years), name)
    found = A_YEAR.sub(lambda m: _years_moved(m, years), found)
    if found != name:
        return found
    year = f"{starts_on.year}"
    if ends_on.year != starts_on.year:
        year += f"/{ends_on.year % 100:02}"
    return f"{name} {year}"


def _years_moved(match: re.Match[str], years: int) -> str:
    first, between, second = match.groups()
    moved = _year_moved(first, years)
    return moved if second is None else f"{moved}{between}{_year_moved(second, years)}"


def _year_moved(digits: str, years: int) -> str:
    return f"{(int(digits) + years) % 10 ** len(digits):0{len(digits)}}"


def _names(words: str) -> frozenset[str]:
    """Return the names of a date, without what is added where it is kept on another day."""
    return frozenset(re.sub(r"\s*\([^)]*\)", "", name).strip() for name in words.split(", "))
