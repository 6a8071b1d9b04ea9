"""Time zones as calendar programs read them: one rule a year, anchored in 1970.

The rule comes from the last line of a zone's file in the IANA time zone database (RFC 9636,
section 3.3: a POSIX TZ string). Programs that read calendars fail on long lists of past clock
changes, so a zone is written with one STANDARD and one DAYLIGHT part, each "the n-th weekday of a
month". A zone that such a rule cannot describe has no description here; its times go out in UTC,
which every program reads right.

All of it is read from the `tzdata` package, never from the machine, so that the rule and the
offsets it is checked against are of one release.
"""

from __future__ import annotations

import calendar
import io
import re
import struct
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo

import icalendar
import tzdata  # type: ignore[import-untyped]

from clubplanner.domain.times.zones import zone_data

ANCHOR_YEAR = 1970
"""Year of the first onset written (common practice, no source)."""
DATA_RELEASE = tzdata.IANA_VERSION
"""Release of the time zone data, such as "2026a"."""

_WEEKDAYS = ("SU", "MO", "TU", "WE", "TH", "FR", "SA")
_DAY_S = 86_400
_LAST_WEEK = 5
_NAME = r"(<[A-Za-z0-9+-]+>|[A-Za-z]+)"
_CLOCK = r"([+-]?\d+(?::\d+){0,2})"
_CHANGE = rf",M(\d+)\.(\d)\.(\d)(?:/{_CLOCK})?"
_FIXED_RULE = re.compile(rf"{_NAME}{_CLOCK}")
_YEARLY_RULE = re.compile(rf"{_NAME}{_CLOCK}{_NAME}{_CLOCK}?{_CHANGE}{_CHANGE}")
_FILE_HEADER = struct.Struct(">4sc15x6l")


@dataclass(frozen=True, slots=True)
class _Change:
    """One clock change that comes back every year, on the wall clock in force before it.

    Attributes:
        month: 1 to 12.
        week: 1 to 4, or 5 for the last of the month.
        weekday: 0 is Sunday, 6 is Saturday.
        at_s: Seconds after the midnight that starts that day, 0 ≤ at_s < 86,400.
        before_s: Offset from UTC before, seconds, east positive.
        after_s: Offset from UTC after, seconds, east positive.
        name: Short name of the time that starts, such as "BST".
    """

    month: int
    week: int
    weekday: int
    at_s: int
    before_s: int
    after_s: int
    name: str

    def wall_time(self, year: int) -> datetime:
        """Return when it happens, without a zone, on the clock in force before it."""
        first_weekday, days = calendar.monthrange(year, self.month)
        day = 1 + (self.weekday - first_weekday - 1) % 7 + 7 * (self.week - 1)
        if day > days:
            day -= 7
        return datetime(year, self.month, day) + timedelta(seconds=self.at_s)  # noqa: DTZ001 - wall


@dataclass(frozen=True, slots=True)
class _Rule:
    """What holds in a zone year after year.

    Attributes:
        name: Short name of the time when the clocks never change; else of no use.
        offset_s: Offset when the clocks never change, seconds, east positive.
        changes: None or exactly two, in no particular order.
    """

    name: str
    offset_s: int
    changes: tuple[_Change, ...] = ()

    def offset_at(self, instant: datetime) -> timedelta:
        """Return the offset from UTC at an instant."""
        if not self.changes:
            return timedelta(seconds=self.offset_s)
        years = (instant.year - 1, instant.year, instant.year + 1)
        onsets = [(_onset(c, year), c.after_s) for c in self.changes for year in years]
        return timedelta(seconds=max(onset for onset in onsets if onset[0] <= instant)[1])

    def readings(self, wall_time: datetime) -> set[datetime]:
        """Return every instant at which the wall clock shows a time: none, one or two."""
        offsets = {timedelta(seconds=c.after_s) for c in self.changes}
        offsets = offsets or {timedelta(seconds=self.offset_s)}
        instants = {(wall_time - offset).replace(tzinfo=UTC): offset for offset in offsets}
        return {
            instant for instant, offset in instants.items() if self.offset_at(instant) == offset
        }


@dataclass(frozen=True, slots=True)
class _Zone:
    """A zone of the database: its exact offsets and, if there is one, the rule for a calendar."""

    info: ZoneInfo
    rule: _Rule | None


def build_timezone(zone: str) -> icalendar.Timezone | None:
    """Describe a time zone for a calendar (RFC 5545, section 3.6.5).

    The description holds from the start of the year in which the time zone data was released;
    for earlier times ask `wall_time`.

    Args:
        zone: Name in the IANA time zone database, such as "Europe/London".

    Returns:
        One STANDARD and one DAYLIGHT part with yearly rules; one STANDARD part where the clocks
        never change; None where no such rule describes the zone, so that its times must be
        written in UTC. DAYLIGHT is always the part further east, also for Europe/Dublin.

    Raises:
        ValueError: The database has no zone of that name.
    """
    rule = _load_zone(zone).rule
    if rule is None:
        return None
    component = icalendar.Timezone()
    component.add("TZID", zone)
    if not rule.changes:
        component.add_component(_fixed_part(rule))
    for change in sorted(rule.changes, key=lambda change: change.after_s):
        component.add_component(_yearly_part(change))
    return component


def wall_time(zone: str, instant: datetime) -> datetime | None:
    """Return what the wall clock shows at an instant, if a calendar can say so without doubt.

    Args:
        zone: Name in the IANA time zone database.
        instant: Aware datetime.

    Returns:
        The wall-clock time without a zone; or None where it has to be written in UTC: the zone has
        no description, the description is wrong at that instant (years long past), or the clock
        shows the same time twice that night. RFC 5545, section 3.3.5, takes the first of the two,
        but not every reader does.

    Raises:
        ValueError: The database has no zone of that name, or the instant is not aware.
    """
    if instant.tzinfo is None:
        raise ValueError("Give the time with its zone, such as one in UTC.")
    loaded = _load_zone(zone)
    if loaded.rule is None:
        return None
    local = instant.astimezone(loaded.info)
    if local.replace(fold=0).utcoffset() != local.replace(fold=1).utcoffset():
        return None
    wall = local.replace(tzinfo=None, fold=0)
    return wall if loaded.rule.readings(wall) == {instant} else None


def _fixed_part(rule: _Rule) -> icalendar.TimezoneStandard:
    part = icalendar.TimezoneStandard()
    part.add("DTSTART", datetime(ANCHOR_YEAR, 1, 1))  # noqa: DTZ001 - a wall-clock time
    part.add("TZOFFSETFROM", timedelta(seconds=rule.offset_s))
    part.add("TZOFFSETTO", timedelta(seconds=rule.offset_s))
    part.add("TZNAME", rule.name)
    return part


def _yearly_part(change: _Change) -> icalendar.TimezoneStandard | icalendar.TimezoneDaylight:
    is_daylight = change.after_s > change.before_s
    part = icalendar.TimezoneDaylight() if is_daylight else icalendar.TimezoneStandard()
    week = -1 if change.week == _LAST_WEEK else change.week
    part.add("DTSTART", change.wall_time(ANCHOR_YEAR))
    part.add(
        "RRULE",
        {"FREQ": "YEARLY", "BYMONTH": change.month, "BYDAY": f"{week}{_WEEKDAYS[change.weekday]}"},
    )
    part.add("TZOFFSETFROM", timedelta(seconds=change.before_s))
    part.add("TZOFFSETTO", timedelta(seconds=change.after_s))
    part.add("TZNAME", change.name)
    return part


@lru_cache(maxsize=4096)
def _onset(change: _Change, year: int) -> datetime:
    wall = change.wall_time(year) - timedelta(seconds=change.before_s)
    return wall.replace(tzinfo=UTC)


@lru_cache(maxsize=1024)
def _load_zone(zone: str) -> _Zone:
    """Read a zone from the database, with its rule if that rule can be trusted."""
    data = zone_data(zone)
    try:
        info = ZoneInfo.from_file(io.BytesIO(data), key=zone)
    except (ValueError, struct.error) as error:
        raise ValueError(f"There is no time zone called {zone!r}: its data are damaged.") from error
    rule = _parse_rule(data.removesuffix(b"\n").rpartition(b"\n")[2].decode("ascii"))
    if rule is not None and not _holds(rule, info, _listed_changes(data)):
        rule = None
    return _Zone(info, rule)


def _parse_rule(text: str) -> _Rule | None:
    """Read a POSIX TZ string, or return None for what a calendar rule cannot say.

    A calendar can count weekdays in a month, but not "the day after the fourth Thursday": such
    changes (written with times before 0:00 or after 23:59) would need BYDAY and BYMONTHDAY
    together, which [MS-OXCICAL], section 2.1.3.1.1.19.2.2, forbids. Nor can it number the days of
    a year. Offsets in a TZ string count westward (POSIX.1-2017, section 8.3).
    """
    if fixed := _FIXED_RULE.fullmatch(text):
        return _Rule(fixed[1].strip("<>"), -_seconds(fixed[2]))
    found = _YEARLY_RULE.fullmatch(text)
    if not found:
        return None
    standard_s = -_seconds(found[2])
    daylight_s = -_seconds(found[4]) if found[4] else standard_s + 3600
    changes = (
        _parse_change(found.groups()[4:8], standard_s, daylight_s, found[3]),
        _parse_change(found.groups()[8:12], daylight_s, standard_s, found[1]),
    )
    if any(not 0 <= change.at_s < _DAY_S for change in changes):
        return None
    return _Rule("", standard_s, changes)


def _parse_change(parts: tuple[str | None, ...], before_s: int, after_s: int, name: str) -> _Change:
    month, week, weekday = (int(part or 0) for part in parts[:3])
    at_s = _seconds(parts[3] or "2")
    return _Change(month, week, weekday, at_s, before_s, after_s, name.strip("<>"))


def _seconds(clock: str) -> int:
    """Return the seconds in "[-]h[:m[:s]]"."""
    hours, minutes, seconds = ([int(part) for part in clock.lstrip("+-").split(":")] + [0, 0])[:3]
    size = hours * 3600 + minutes * 60 + seconds
    return -size if clock.startswith("-") else size


def _listed_changes(data: bytes) -> list[datetime]:
    """Return the clock changes a zone's file lists one by one, in order (RFC 9636, section 3.1)."""
    _, _, *counts = _FILE_HEADER.unpack_from(data)
    ut, standard, leap, times, types, letters = counts
    second = _FILE_HEADER.size + times * 5 + types * 6 + letters + leap * 8 + standard + ut
    count = _FILE_HEADER.unpack_from(data, second)[5]
    stamps = struct.unpack_from(f">{count}q", data, second + _FILE_HEADER.size)
    earliest = datetime(ANCHOR_YEAR, 1, 1, tzinfo=UTC)
    return [earliest + timedelta(seconds=stamp) for stamp in stamps if stamp >= 0]


def _holds(rule: _Rule, info: ZoneInfo, listed: list[datetime]) -> bool:
    """Tell whether a rule gives the zone's own offsets from the data's release year on."""
    start = datetime(int(DATA_RELEASE[:4]), 1, 1, tzinfo=UTC)
    last_year = max([start, *listed]).year + 1
    moments = [start, *(moment for moment in listed if moment > start)]
    for change in rule.changes:
        moments += [_onset(change, year) for year in range(start.year, last_year + 1)]
    # Both sides stay the same between two such moments, so nothing else can differ.
    return all(
        rule.offset_at(moment) == moment.astimezone(info).utcoffset()
        for moment in moments
        if moment >= start
    )
