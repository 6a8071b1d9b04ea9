"""A difference in words: per squad what is added, moved, kept and withdrawn."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import date
from functools import cache
from typing import TYPE_CHECKING

import numpy as np

from clubplanner.domain.times.seconds import days_in, instant_of
from clubplanner.domain.times.times import clock_from_minute, day_month_year, minute_from_instant
from clubplanner.language import _, weekday_in_words
from clubplanner.services.proposals.dated_tables import (
    BOOKED_PLACE,
    ID,
    SQUAD,
    W_DAY,
    W_SQUAD,
    WANTED_PLACE,
    booked_from,
    group_rows,
)

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from zoneinfo import ZoneInfo

    from clubplanner.services.proposals.dated_tables import Column, Table
    from clubplanner.services.proposals.differences.values import Difference

ORDER = ("withdrawn", "moved", "added", "kept", "closed")
"""In which order the changes of a squad are told: what hurts comes first."""
MOST_SLOTS = 2**20
"""More than there are weekdays with a start and an end."""
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


def difference_lines(
    difference: Difference,
    zone: ZoneInfo,
    *,
    counts_kept: bool = False,
    holders: Holders | None = None,
) -> tuple[DifferenceLine, ...]:
    """Write a difference down, equal changes of one squad together, by squad and kind.

    Args:
        difference: What changes.
        zone: The club's time zone.
        counts_kept: Whether what stays is only counted, a line a squad without its places: most
            of a season stays, and a page tells how much of it.
        holders: What those are called who hold the bookings, where it is known already.
    """
    words = _PlaceWords(difference, zone, holders or Holders(difference))
    dates: dict[tuple[str, str, str, str], list[date]] = defaultdict(list)
    for squad, change, old, new, days in _changes(difference, words, counts_kept=counts_kept):
        dates[squad, change, old, new] += days
    in_words = cache(dates_in_words)
    lines = [DifferenceLine(*key, in_words(tuple(days)), len(days)) for key, days in dates.items()]
    if counts_kept:
        whose = words.holders.meet(difference.kept_rows)
        counted = zip(*np.unique(whose, return_counts=True), strict=True)
        lines += [
            DifferenceLine(words.holders.name(int(one)), "kept", "", "", "", int(count))
            for one, count in counted
        ]
    place = {change: number for number, change in enumerate(ORDER)}
    return tuple(sorted(lines, key=lambda line: (line.squad_name, place[line.change])))


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


def _changes(
    difference: Difference, words: _PlaceWords, *, counts_kept: bool
) -> Iterator[tuple[str, str, str, str, list[date]]]:
    """Yield all changes: whose, what, the old place, the new one, and on which dates."""
    places, _unused = words.places_of(difference.moved_rows[:, BOOKED_PLACE])
    new, _unused = words.places_of(difference.moved_to[:, WANTED_PLACE])
    whose = words.holders.meet(difference.moved_rows)
    for one, (old, there), days in _together(whose, (places, new), difference.moved_to[:, W_DAY]):
        yield words.holders.name(one), "moved", words.write(old), words.write(there), days
    added = difference.added_rows
    places, _unused = words.places_of(added[:, WANTED_PLACE])
    for one, (there,), days in _together(added[:, W_SQUAD], (places,), added[:, W_DAY]):
        yield words.squad_name(one), "added", "", words.write(there), days
    for change, table in (("withdrawn", difference.withdrawn_rows), ("kept", difference.kept_rows)):
        if change == "kept" and counts_kept:
            continue
        places, on = words.places_of(table[:, BOOKED_PLACE])
        for one, (old,), days in _together(words.holders.meet(table), (places,), on):
            yield words.holders.name(one), change, words.write(old), "", days
    for piece in difference.closed:
        day = words.day_of(int(piece.during.starts_at.timestamp()))
        yield piece.reason, "closed", "", piece.area.words, [day]


def _together(
    whose: Column, places: Sequence[Column], days: Column
) -> Iterator[tuple[int, tuple[int, ...], list[date]]]:
    """Yield each squad with each of its places (or an old and a new one), and on which dates.

    In the order in which they first come.
    """
    keys = np.stack((whose, *places), 1)
    group = group_rows(keys)
    _groups, first, count = np.unique(group, return_index=True, return_counts=True)
    own = np.split(days[np.argsort(group, kind="stable")], np.cumsum(count)[:-1])
    for n in np.argsort(first).tolist():
        one, *there = keys[first[n]].tolist()
        yield one, tuple(there), [date.fromordinal(day) for day in own[n].tolist()]


class Holders:
    """What those are called who hold bookings: each as on the first one met."""

    def __init__(self, difference: Difference) -> None:
        self._names = difference.names
        self._written = difference.written
        self._known: dict[int, str] = {}

    def whose(self, booked: Table) -> Column:
        """Return the numbers of squads; below 0 the number of a booking that is of none."""
        return np.where(booked[:, SQUAD] == 0, -booked[:, ID], booked[:, SQUAD])

    def meet(self, booked: Table) -> Column:
        """Note what they are called, and return what `whose` does."""
        whose = self.whose(booked)
        _unused, first = np.unique(whose, return_index=True)
        for one in booked_from(booked[np.sort(first)], self._written):
            if (number := one.squad_id or -one.id) not in self._known:
                self._known[number] = self._names.holder(one)
        return whose

    def name(self, whose: int) -> str:
        """Return who holds a booking that was met, by what `whose` returned."""
        return self._known[whose]


class _PlaceWords:
    """Weekly places in words, each written once: a season has them on many dates."""

    def __init__(self, difference: Difference, zone: ZoneInfo, holders: Holders) -> None:
        self._names = difference.names
        self._zone = zone
        self.holders = holders
        self._slots: dict[tuple[int, int, int], int] = {}
        self.day_of = days_in(zone)
        self.write = cache(self._write_place)

    def places_of(self, placed: Table) -> tuple[Column, Column]:
        """Return numbers of weekly places, and dates as ordinals, of sessions.

        Args:
            placed: Columns for squad, area, start and end.
        """
        times = group_rows(placed[:, 2:])
        _groups, first = np.unique(times, return_index=True)
        known = [self._wall_times(*row) for row in placed[first, 2:].tolist()]
        slots = [self._slots.setdefault(slot, len(self._slots)) for slot, _day in known]
        days = [day.toordinal() for _slot, day in known]
        slot_of, day_of = (np.array(each, dtype=np.int64)[times] for each in (slots, days))
        return placed[:, 1] * MOST_SLOTS + slot_of, day_of

    def squad_name(self, squad: int) -> str:
        """Return who gets a session."""
        return self._names.squads[squad].name

    def _wall_times(self, starts: int, ends: int) -> tuple[tuple[int, int, int], date]:
        day = self.day_of(starts)
        start, end = (minute_from_instant(instant_of(s), day, self._zone) for s in (starts, ends))
        return (day.weekday(), start, end), day

    def _write_place(self, place: int) -> str:
        """Write weekday, times and ground."""
        area, slot = divmod(place, MOST_SLOTS)
        weekday, start_min, end_min = list(self._slots)[slot]
        times = f"{clock_from_minute(start_min)}–{clock_from_minute(end_min)}"
        return f"{weekday_in_words(weekday)} {times}, {self._names.grounds[area].words}"
