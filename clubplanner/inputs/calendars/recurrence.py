"""Rules of recurrence, worked out between two times, with a bound on the work.

RFC 5545, section 3.3.10. Everything is on the wall clock, without zones. The work depends on the
stretch asked for, not on how long ago a series began: only a rule with COUNT is followed from its
start. A rule that never comes true, or comes true every second, ends at its budget.
"""

from __future__ import annotations

import calendar
import itertools
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import MAXYEAR, date, datetime, time, timedelta
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from clubplanner.inputs.calendars.recurrence_rules import Rule

_UNIT_S = {"HOURLY": 3600, "MINUTELY": 60, "SECONDLY": 1}
_DAY_S = 86_400
_WEEK_DAYS = 7


class BudgetError(Exception):
    """The work allowed is used up."""


@dataclass(slots=True)
class Budget:
    """How much work is left: days looked at and times made."""

    left: int

    def spend(self, amount: int = 1) -> None:
        """Use some of it.

        Raises:
            BudgetError: If nothing is left.
        """
        self.left -= amount
        if self.left < 0:
            raise BudgetError

    @contextmanager
    def part(self, most: int) -> Iterator[Budget]:
        """Give out at most so much for one task; what it leaves comes back."""
        given = max(0, min(most, self.left))
        part = Budget(given)
        try:
            yield part
        finally:
            self.left -= given - max(0, part.left)


def expand(
    rule: Rule, first: datetime, low: datetime, high: datetime, budget: Budget
) -> Iterator[datetime]:
    """Yield the times of a series between two times, in order, each once.

    The first time always belongs to the series and counts (RFC 5545, section 3.8.5.3), also where
    the rule would not give it. UNTIL is left to the caller, who knows the zone.

    Args:
        rule: How it repeats.
        first: When it starts, on the wall clock, to the second.
        low: Earliest time wanted.
        high: Times wanted lie before it.
        budget: Work allowed.

    Raises:
        BudgetError: If that is used up.
    """
    count = 1
    if low <= first < high:
        yield first
    earliest = first if rule.count else max(first, low)
    for moment in _made(rule, first, earliest, high, budget):
        budget.spend()
        if moment <= first:
            continue
        count += 1
        if moment >= high or (rule.count and count > rule.count):
            return
        if moment >= low:
            yield moment


def _made(
    rule: Rule, first: datetime, low: datetime, high: datetime, budget: Budget
) -> Iterator[datetime]:
    """Yield what the rule gives, in order, from about `low` on."""
    if rule.frequency in _UNIT_S:
        yield from _made_in_days(rule, first, low, high, budget)
        return
    filters = _DayFilter(rule.with_defaults(first), rule.by_month)
    times = _times_of_day(rule, first)
    budget.spend(len(times))
    for days in _periods(rule, first.date(), low.date(), high.date()):
        budget.spend(len(days))
        chosen = [day for day in days if filters.passes(day)]
        budget.spend(len(chosen) * (len(times) if rule.by_set_pos else 1))
        moments = (datetime.combine(day, clock) for day in chosen for clock in times)
        yield from _at_positions(moments, rule.by_set_pos)


def _made_in_days(
    rule: Rule, first: datetime, low: datetime, high: datetime, budget: Budget
) -> Iterator[datetime]:
    """Yield what an hourly or faster rule gives, day by day."""
    unit_s = _UNIT_S[rule.frequency]
    filters = _DayFilter(rule, rule.by_month)
    start_s = (first.hour * 3600 + first.minute * 60 + first.second) // unit_s * unit_s
    for number in range((high.date() - low.date()).days + 1):
        day = low.date() + timedelta(days=number)
        budget.spend()
        if not filters.passes(day):
            continue
        units = ((day - first.date()).days * _DAY_S - start_s) // unit_s
        for unit in range(-units % rule.interval, _DAY_S // unit_s, rule.interval):
            budget.spend()
            times = _times_of_unit(rule, first, unit * unit_s)
            moments = [datetime.combine(day, clock) for clock in times]
            yield from _at_positions(moments, rule.by_set_pos)


def _periods(rule: Rule, first: date, low: date, high: date) -> Iterator[list[date]]:
    """Yield the days of each year, month, week or day that the interval hits, up to `high`."""
    step = rule.interval
    if rule.frequency == "YEARLY":
        skipped = max(0, low.year - first.year - 1) // step
        for year in range(first.year + skipped * step, min(high.year, MAXYEAR) + 1, step):
            length = 366 if calendar.isleap(year) else 365
            yield _days(date(year, 1, 1), length)
    elif rule.frequency == "MONTHLY":
        start = first.year * 12 + first.month - 1
        skipped = max(0, low.year * 12 + low.month - 2 - start) // step
        for month in range(start + skipped * step, high.year * 12 + high.month, step):
            begin = date(month // 12, month % 12 + 1, 1)
            yield _days(begin, calendar.monthrange(begin.year, begin.month)[1])
    else:
        length = _WEEK_DAYS if rule.frequency == "WEEKLY" else 1
        back = (first.weekday() - rule.week_start) % _WEEK_DAYS if length > 1 else 0
        ordinal = first.toordinal() - back
        skipped = max(0, low.toordinal() - length - ordinal) // (step * length)
        start = ordinal + skipped * step * length
        for day in range(start, high.toordinal() + 1, step * length):
            yield [
                date.fromordinal(each)
                for each in range(max(1, day), min(day + length, date.max.toordinal() + 1))
            ]


def _days(begin: date, length: int) -> list[date]:
    return [date.fromordinal(begin.toordinal() + number) for number in range(length)]


def _times_of_day(rule: Rule, first: datetime) -> list[time]:
    hours = rule.by_hour or (first.hour,)
    minutes = rule.by_minute or (first.minute,)
    seconds = rule.by_second or (first.second,)
    return [time(*each) for each in itertools.product(hours, minutes, seconds)]


def _times_of_unit(rule: Rule, first: datetime, start_s: int) -> list[time]:
    """Return the times in an hour, a minute or a second, given its start after midnight."""
    hour, minute, second = start_s // 3600, start_s // 60 % 60, start_s % 60
    minutes: Iterable[int] = rule.by_minute or (first.minute,)
    seconds: Iterable[int] = rule.by_second or (first.second,)
    if rule.frequency != "HOURLY":
        minutes = [minute] if minute in (rule.by_minute or (minute,)) else []
    if rule.frequency == "SECONDLY":
        seconds = [second] if second in (rule.by_second or (second,)) else []
    if hour not in (rule.by_hour or (hour,)):
        return []
    return [time(hour, *each) for each in itertools.product(minutes, seconds)]


def _at_positions(moments: Iterable[datetime], positions: tuple[int, ...]) -> Iterable[datetime]:
    """Return the n-th of a set, from either end, or all (BYSETPOS)."""
    if not positions:
        return moments
    listed = list(moments)
    size = len(listed)
    found = {p - 1 if p > 0 else size + p for p in positions}
    return [listed[index] for index in sorted(found) if 0 <= index < size]


@dataclass(frozen=True, slots=True)
class _DayFilter:
    """Tells whether a rule allows a day.

    Attributes:
        rule: With the parts that its first time fills in.
        own_months: Months that the rule itself names; with them the n-th weekday counts in a
            month.
    """

    rule: Rule
    own_months: tuple[int, ...]

    def passes(self, day: date) -> bool:
        """Tell whether the day is allowed."""
        rule = self.rule
        return (
            (not rule.by_month or day.month in rule.by_month)
            and (not rule.by_month_day or self._counts(day, rule.by_month_day, in_month=True))
            and (not rule.by_year_day or self._counts(day, rule.by_year_day, in_month=False))
            and (not rule.by_week_no or _is_week(day, rule.by_week_no, rule.week_start))
            and (not rule.by_day or any(self._is_weekday(day, *each) for each in rule.by_day))
        )

    def _counts(self, day: date, numbers: tuple[int, ...], *, in_month: bool) -> bool:
        position, length = _position(day, in_month=in_month)
        return position in numbers or position - length - 1 in numbers

    def _is_weekday(self, day: date, number: int, weekday: int) -> bool:
        if day.weekday() != weekday:
            return False
        if not number:
            return True
        in_month = self.rule.frequency == "MONTHLY" or bool(self.own_months)
        position, length = _position(day, in_month=in_month)
        if number > 0:
            return (position - 1) // _WEEK_DAYS + 1 == number
        return (length - position) // _WEEK_DAYS + 1 == -number


def _position(day: date, *, in_month: bool) -> tuple[int, int]:
    """Return the day's number in its month or year, from 1, and how many days that has."""
    if in_month:
        return day.day, calendar.monthrange(day.year, day.month)[1]
    length = 366 if calendar.isleap(day.year) else 365
    return day.toordinal() - date(day.year, 1, 1).toordinal() + 1, length


def _is_week(day: date, numbers: tuple[int, ...], week_start: int) -> bool:
    """Tell whether a day is in one of some weeks; week 1 is the first with four days."""
    fourth = day.toordinal() - (day.weekday() - week_start) % _WEEK_DAYS + 3
    if not 1 <= fourth <= date.max.toordinal():
        return False
    year = date.fromordinal(fourth).year
    number = (fourth - date(year, 1, 1).toordinal()) // _WEEK_DAYS + 1
    last = date(year, 12, 31).toordinal()
    weeks = number + (last - fourth) // _WEEK_DAYS
    return number in numbers or number - weeks - 1 in numbers
