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
    from clubplanner.store.tables.booking_tables import BookingRow
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
    words = _PlaceWords(zone)
    for row in difference.kept:
        old = words.of(row.area, row.starts_at, row.ends_at)
        yield words.holder(row), "kept", old, "", _day(row.starts_at, zone)
    for row, wanted in difference.moves:
        old = words.of(row.area, row.starts_at, row.ends_at)
        new = words.of(wanted.area, wanted.during.starts_at, wanted.during.ends_at)
        yield words.holder(row), "moved", old, new, wanted.day
    for wanted in difference.added:
        new = words.of(wanted.area, wanted.during.starts_at, wanted.during.ends_at)
        yield wanted.squad.name, "added", "", new, wanted.day
    for row in difference.withdrawn:
        old = words.of(row.area, row.starts_at, row.ends_at)
        yield words.holder(row), "withdrawn", old, "", _day(row.starts_at, zone)
    for piece in difference.closed:
        new = _ground_words(piece.area)
        yield piece.reason, "closed", "", new, _day(piece.during.starts_at, zone)


class _PlaceWords:
    """Weekly places and holders in words, each written once: a season has them on many dates."""

    def __init__(self, zone: ZoneInfo) -> None:
        self._zone = zone
        self._places: dict[tuple[int, int, int, int], str] = {}
        self._holders: dict[int, str] = {}

    def of(self, area: AreaRow, starts_at: datetime, ends_at: datetime) -> str:
        """Write weekday, times and ground."""
        day = _day(starts_at, self._zone)
        start, end = (minute_from_instant(at, day, self._zone) for at in (starts_at, ends_at))
        key = area.id, day.weekday(), start, end
        if key not in self._places:
            times = f"{clock_from_minute(start)}–{clock_from_minute(end)}"
            self._places[key] = f"{weekday_in_words(day.weekday())} {times}, {_ground_words(area)}"
        return self._places[key]

    def holder(self, row: BookingRow) -> str:
        """Return who holds a booking."""
        if row.squad_id is None:
            return row.holder
        if row.squad_id not in self._holders:
            self._holders[row.squad_id] = row.holder
        return self._holders[row.squad_id]


def _ground_words(area: AreaRow) -> str:
    return area.name if area.cut == "whole" else f"{area.name}, {area.pitch.name}"


def _day(instant: datetime, zone: ZoneInfo) -> date:
    return instant.astimezone(zone).date()
