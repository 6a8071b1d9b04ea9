"""A rule of recurrence as a value, read from the text of an RRULE (RFC 5545, section 3.3.10)."""

from __future__ import annotations

import dataclasses
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.inputs.calendars.calendar_lines import LineError
from clubplanner.language import _

if TYPE_CHECKING:
    from datetime import datetime

FREQUENCIES = ("YEARLY", "MONTHLY", "WEEKLY", "DAILY", "HOURLY", "MINUTELY", "SECONDLY")
WEEKDAYS = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")

_DAY = re.compile(r"([+-]?\d{1,2})?(MO|TU|WE|TH|FR|SA|SU)", re.ASCII)
_NUMBER = re.compile(r"[+-]?\d{1,9}", re.ASCII)
_LISTS = {
    # Part: field, least, most, whether it counts from the end too.
    "BYSECOND": ("by_second", 0, 60, False),
    "BYMINUTE": ("by_minute", 0, 59, False),
    "BYHOUR": ("by_hour", 0, 23, False),
    "BYMONTHDAY": ("by_month_day", 1, 31, True),
    "BYYEARDAY": ("by_year_day", 1, 366, True),
    "BYWEEKNO": ("by_week_no", 1, 53, True),
    "BYMONTH": ("by_month", 1, 12, False),
    "BYSETPOS": ("by_set_pos", 1, 366, True),
}
_OTHERS = ("FREQ", "INTERVAL", "COUNT", "UNTIL", "BYDAY", "WKST")
_LONGEST_INTERVAL = 10**6


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """How something repeats.

    Attributes:
        frequency: One of `FREQUENCIES`.
        interval: Every n-th of these, 1 or more.
        count: How many times in all; 0 for no end.
        until: Last possible time as written; blank for no end.
        week_start: 0 is Monday.
        by_month: 1 to 12; like all lists in order, empty where the rule does not say.
        by_week_no: 1 to 53, or -1 to -53 from the end of the year.
        by_year_day: 1 to 366, or negative.
        by_month_day: 1 to 31, or negative.
        by_day: Number (0 for each) and weekday (0 is Monday).
        by_hour: 0 to 23.
        by_minute: 0 to 59.
        by_second: 0 to 59; a leap second is read as the one before.
        by_set_pos: 1 to 366, or negative.
    """

    frequency: str
    interval: int = 1
    count: int = 0
    until: str = ""
    week_start: int = 0
    by_month: tuple[int, ...] = ()
    by_week_no: tuple[int, ...] = ()
    by_year_day: tuple[int, ...] = ()
    by_month_day: tuple[int, ...] = ()
    by_day: tuple[tuple[int, int], ...] = ()
    by_hour: tuple[int, ...] = ()
    by_minute: tuple[int, ...] = ()
    by_second: tuple[int, ...] = ()
    by_set_pos: tuple[int, ...] = ()

    def for_days(self) -> Rule:
        """Leave out the parts that do not count for whole days (RFC 5545, section 3.3.10)."""
        return dataclasses.replace(self, by_hour=(), by_minute=(), by_second=())

    def with_defaults(self, first: datetime) -> Rule:
        """Fill in from the first time which day is meant, where the rule does not say."""
        if self.by_day or self.by_month_day or self.by_year_day:
            return self
        if self.frequency == "WEEKLY" or self.by_week_no:
            return dataclasses.replace(self, by_day=((0, first.weekday()),))
        if self.frequency == "MONTHLY":
            return dataclasses.replace(self, by_month_day=(first.day,))
        if self.frequency == "YEARLY":
            months = self.by_month or (first.month,)
            return dataclasses.replace(self, by_month=months, by_month_day=(first.day,))
        return self


def read_rule(text: str) -> Rule:
    """Read a rule.

    Raises:
        LineError: With what is wrong, in words.
    """
    parts: dict[str, str] = {}
    for piece in text.strip().rstrip(";").split(";"):
        name, mark, value = piece.partition("=")
        name = name.strip().upper()
        if not mark or name in parts or name not in {*_LISTS, *_OTHERS}:
            raise LineError(_("How it repeats cannot be read at “%(piece)s”", piece=piece[:40]))
        parts[name] = value.strip().upper()
    frequency = parts.get("FREQ", "")
    if frequency not in FREQUENCIES:
        raise LineError(_("How it repeats does not say how often"))
    lists = {
        field: _read_list(parts[name], least, most, from_end=from_end)
        for name, (field, least, most, from_end) in _LISTS.items()
        if name in parts
    }
    rule = Rule(
        frequency=frequency,
        interval=_read_number(parts.get("INTERVAL", "1"), _LONGEST_INTERVAL),
        count=_read_number(parts["COUNT"], 10**9) if "COUNT" in parts else 0,
        until=parts.get("UNTIL", ""),
        week_start=_read_weekday(parts.get("WKST", "MO")),
        by_day=_read_days(parts["BYDAY"]) if "BYDAY" in parts else (),
        **lists,
    )
    _refuse_odd_parts(rule)
    if rule.by_second:
        rule = dataclasses.replace(
            rule, by_second=tuple(sorted({min(59, s) for s in rule.by_second}))
        )
    return rule


def _refuse_odd_parts(rule: Rule) -> None:
    """Refuse parts that the standard rules out together."""
    has_numbers = any(number for number, _unused in rule.by_day)
    is_odd = (
        (rule.by_week_no and rule.frequency != "YEARLY")
        or (rule.by_year_day and rule.frequency in {"MONTHLY", "WEEKLY", "DAILY"})
        or (rule.by_month_day and rule.frequency == "WEEKLY")
        or (has_numbers and (rule.frequency not in {"YEARLY", "MONTHLY"} or rule.by_week_no))
        or (rule.count and rule.until)
    )
    if is_odd:
        raise LineError(_("How it repeats has parts that do not go together"))


def _read_list(text: str, least: int, most: int, *, from_end: bool) -> tuple[int, ...]:
    numbers = set()
    for piece in text.split(","):
        if not _NUMBER.fullmatch(piece.strip()):
            raise LineError(_("How it repeats cannot be read at “%(piece)s”", piece=piece[:40]))
        number = int(piece)
        if not (least <= number <= most or (from_end and least <= -number <= most)):
            raise LineError(
                _("How it repeats has the number %(count)s, which is out of range", count=number)
            )
        numbers.add(number)
    return tuple(sorted(numbers))


def _read_number(text: str, most: int) -> int:
    number = int(text) if _NUMBER.fullmatch(text) else 0
    if number < 1:
        raise LineError(
            _("How it repeats needs a number of 1 or more, not “%(words)s”", words=text[:40])
        )
    return min(number, most)


def _read_days(text: str) -> tuple[tuple[int, int], ...]:
    days = set()
    for piece in text.split(","):
        found = _DAY.fullmatch(piece.strip())
        if not found or (found[1] is not None and not 1 <= abs(int(found[1])) <= 53):
            raise LineError(_("How it repeats cannot be read at “%(piece)s”", piece=piece[:40]))
        days.add((int(found[1] or 0), WEEKDAYS.index(found[2])))
    return tuple(sorted(days))


def _read_weekday(text: str) -> int:
    if text not in WEEKDAYS:
        raise LineError(_("How it repeats cannot be read at “%(words)s”", words=text[:40]))
    return WEEKDAYS.index(text)
