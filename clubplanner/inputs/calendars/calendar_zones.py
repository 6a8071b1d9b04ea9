"""Wall clocks of foreign calendars: which instant is meant by a time on them.

A zone of the time zone database goes by that, whatever the file says of it; a name of its own goes
by the file's description (RFC 5545, section 3.6.5).
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, tzinfo
from typing import TYPE_CHECKING, Protocol

from icalendar.timezone.windows_to_olson import WINDOWS_TO_OLSON

from clubplanner.domain.times.zones import known_zones, zone_from_name
from clubplanner.inputs.calendars.calendar_lines import (
    Component,
    Line,
    LineError,
    read_offset,
    read_time,
)
from clubplanner.inputs.calendars.recurrence import expand
from clubplanner.inputs.calendars.recurrence_rules import read_rule
from clubplanner.language import _

if TYPE_CHECKING:
    from clubplanner.inputs.calendars.recurrence import Budget

_REACH = timedelta(days=1100)
"""How far back from a stretch a yearly clock change is looked for."""


class WallClock(Protocol):
    """Tells instants from times on the wall."""

    def instant(self, wall: datetime) -> datetime:
        """Return the instant in UTC at which the clock shows a time.

        Of two instants the first is meant; a time that is skipped is read with the offset before
        the gap (RFC 5545, section 3.3.5).
        """


@dataclass(frozen=True, slots=True)
class ZoneClock:
    """The clock of a zone of the database, or of UTC."""

    zone: tzinfo

    def instant(self, wall: datetime) -> datetime:
        """Return the instant in UTC."""
        return wall.replace(tzinfo=self.zone, fold=0).astimezone(UTC)


@dataclass(frozen=True, slots=True)
class DescribedClock:
    """A clock that a file describes.

    Attributes:
        onsets: Wall time (on the clock before it) of each change, offset before and after; in
            order, one or more.
    """

    onsets: tuple[tuple[datetime, timedelta, timedelta], ...]

    def instant(self, wall: datetime) -> datetime:
        """Return the instant in UTC."""
        index = bisect_right(self.onsets, wall, key=lambda onset: onset[0]) - 1
        at, before, after = self.onsets[max(0, index)]
        is_before = index < 0 or wall < at + (after - before)
        return (wall - (before if is_before else after)).replace(tzinfo=UTC)


def known_clock(tzid: str) -> WallClock | None:
    """Return the clock of a name in the database, also with a path before it; None if unknown."""
    words = tzid.strip("/").split("/")
    for start in range(min(len(words), 6)):
        name = "/".join(words[start:])
        if name in known_zones():
            return ZoneClock(UTC if name in {"UTC", "Etc/UTC"} else zone_from_name(name))
    return None


def windows_clock(tzid: str) -> WallClock | None:
    """Return the clock of one of the names that Windows gives zones; None if it is none."""
    name = WINDOWS_TO_OLSON.get(tzid)
    return known_clock(name) if name else None


def described_clock(
    component: Component, low: datetime, high: datetime, budget: Budget
) -> DescribedClock:
    """Return the clock that a zone description gives, for a stretch of time.

    Args:
        component: A VTIMEZONE.
        low: Start of the stretch, on the wall.
        high: End of the stretch, on the wall.
        budget: Work allowed.

    Raises:
        LineError: If the description cannot be read.
        BudgetError: If the work is used up.
    """
    onsets = [
        (wall, before, after)
        for part in component.parts
        for wall, before, after in _onsets_of(part, low, high, budget)
    ]
    if not onsets:
        raise LineError(_("The description of its time zone has no offset"))
    return DescribedClock(tuple(sorted(onsets)))


def _onsets_of(
    part: Component, low: datetime, high: datetime, budget: Budget
) -> list[tuple[datetime, timedelta, timedelta]]:
    before = read_offset(_needed(part, "TZOFFSETFROM").value)
    after = read_offset(_needed(part, "TZOFFSETTO").value)
    start = _needed(part, "DTSTART")
    first = read_time(start.value, {}).wall
    walls = {first}
    for line in part.every("RDATE"):
        walls.update(read_time(value, {}).wall for value in line.value.split(","))
    for line in part.every("RRULE"):
        rule = read_rule(line.value)
        last = high
        if rule.until:
            until = read_time(rule.until, {})
            last = until.wall + before if until.is_utc else until.wall
            last = min(high, last + timedelta(seconds=1))
        begin = max(first, min(low, last) - _REACH)
        walls.update(expand(rule, first, begin, last, budget))
    return [(wall, before, after) for wall in walls]


def _needed(part: Component, name: str) -> Line:
    line = part.first(name)
    if line is None:
        raise LineError(_("The description of its time zone lacks %(name)s", name=name))
    return line
