"""A difference in words: per squad what is added, moved, kept and withdrawn."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.domain.times.times import clock_from_minute, day_month_year, minute_from_instant
from clubplanner.language import _, weekday_in_words

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

    from clubplanner.services.proposals.differences import Difference
    from clubplanner.store.tables.ground_tables import AreaRow

ORDER = ("withdrawn", "moved", "added", "kept", "closed")
"""In which order the changes of a squad are told: what hurts comes first."""
MOST_DATES = 3
"""Up to so many dates are listed; of more the first, the last and the number are told."""


@dataclass(frozen=True, slots=True)
class DifferenceLine:
    """One change, on all its dates.

    Attributes:
        squad_name: Whose; for closed ground why it is closed.
        change: One of `ORDER`.
        old: Where it was; blank for what is added.
        new: Where it will be; blank for what is withdrawn or kept.
        dates: On which dates, in words.
        count: How many dates.
    """

    squad_name: str
    change: str
    old: str
    new: str
    dates: str
    count: int


@dataclass(frozen=True, slots=True)
class SquadDifference:
    """What changes for one squad.

    Attributes:
        squad_name: Whose.
        lines: The changes but for what is kept.
        kept: How many bookings stay as they are.
    """

    squad_name: str
    lines: tuple[DifferenceLine, ...]
    kept: int


def difference_lines(difference: Difference, zone: ZoneInfo) -> tuple[DifferenceLine, ...]:
    """Write a difference down, equal changes of one squad together, by squad and kind."""
    dates: dict[tuple[str, str, str, str], list[date]] = defaultdict(list)
    for squad, change, old, new, day in _changes(difference, zone):
        dates[squad, change, old, new].append(day)
    lines = [DifferenceLine(*key, dates_in_words(days), len(days)) for key, days in dates.items()]
    return tuple(sorted(lines, key=lambda line: (line.squad_name, ORDER.index(line.change))))


def by_squad(lines: Sequence[DifferenceLine]) -> tuple[SquadDifference, ...]:
    """Put the changes of each squad together; closed ground is left out."""
    own: dict[str, list[DifferenceLine]] = {}
    for line in lines:
        if line.change != "closed":
            own.setdefault(line.squad_name, []).append(line)
    return tuple(
        SquadDifference(
            squad,
            tuple(line for line in found if line.change != "kept"),
            sum(line.count for line in found if line.change == "kept"),
        )
        for squad, found in own.items()
    )


def dates_in_words(days: Sequence[date]) -> str:
    """Write dates: a few one by one, many as the first, the last and their number."""
    ordered = sorted(days)
    if len(ordered) <= MOST_DATES:
        return ", ".join(day_month_year(day) for day in ordered)
    first, last = ordered[0], ordered[-1]
    return _(
        "%(count)s dates from %(first)s to %(last)s",
        count=len(ordered),
        first=day_month_year(first),
        last=day_month_year(last),
    )


def _changes(difference: Difference, zone: ZoneInfo) -> Iterator[tuple[str, str, str, str, date]]:
    for row in difference.kept:
        old = _place(row.area, row.starts_at, row.ends_at, zone)
        yield row.holder, "kept", old, "", _day(row.starts_at, zone)
    for row, wanted in difference.moves:
        old = _place(row.area, row.starts_at, row.ends_at, zone)
        new = _place(wanted.area, wanted.during.starts_at, wanted.during.ends_at, zone)
        yield row.holder, "moved", old, new, wanted.day
    for wanted in difference.added:
        new = _place(wanted.area, wanted.during.starts_at, wanted.during.ends_at, zone)
        yield wanted.squad.name, "added", "", new, wanted.day
    for row in difference.withdrawn:
        old = _place(row.area, row.starts_at, row.ends_at, zone)
        yield row.holder, "withdrawn", old, "", _day(row.starts_at, zone)
    for piece in difference.closed:
        area = piece.area
        new = area.name if area.cut == "whole" else f"{area.name}, {area.pitch.name}"
        yield piece.reason, "closed", "", new, _day(piece.during.starts_at, zone)


def _place(area: AreaRow, starts_at: datetime, ends_at: datetime, zone: ZoneInfo) -> str:
    day = _day(starts_at, zone)
    start = clock_from_minute(minute_from_instant(starts_at, day, zone))
    end = clock_from_minute(minute_from_instant(ends_at, day, zone))
    name = area.name if area.cut == "whole" else f"{area.name}, {area.pitch.name}"
    return f"{weekday_in_words(day.weekday())} {start}–{end}, {name}"


def _day(instant: datetime, zone: ZoneInfo) -> date:
    return instant.astimezone(zone).date()
