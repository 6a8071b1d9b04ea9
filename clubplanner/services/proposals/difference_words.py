"""A difference in words: per squad what is added, moved, kept and withdrawn."""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass
from functools import cache
from operator import attrgetter
from typing import TYPE_CHECKING

from clubplanner.domain.times.times import clock_from_minute, day_month_year, minute_from_instant
from clubplanner.language import _, weekday_in_words
from clubplanner.services.proposals.dated import instant_of

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import date
    from zoneinfo import ZoneInfo

    from clubplanner.services.proposals.dated import Booked, Names, Wanted
    from clubplanner.services.proposals.differences import Difference

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


def difference_lines(
    difference: Difference, zone: ZoneInfo, *, counts_kept: bool = False
) -> tuple[DifferenceLine, ...]:
    """Write a difference down, equal changes of one squad together, by squad and kind.

    Args:
        difference: What changes.
        zone: The club's time zone.
        counts_kept: Whether what stays is only counted, a line a squad without its places: most
            of a season stays, and a page tells how much of it.
    """
    words = _PlaceWords(difference.names, zone)
    dates: dict[tuple[str, str, str, str], list[date]] = defaultdict(list)
    for squad, change, old, new, day in _changes(difference, words):
        dates[squad, change, old, new].append(day)
    if not counts_kept:
        for one in difference.kept:
            dates[words.holder(one), "kept", words.of(one), ""].append(words.day_of(one.starts))
    lines = [DifferenceLine(*key, dates_in_words(days), len(days)) for key, days in dates.items()]
    if counts_kept:
        first = {one.squad_id: one for one in reversed(difference.kept)}
        kept = Counter(map(attrgetter("squad_id"), difference.kept))
        lines += [
            DifferenceLine(words.holder(first[squad]), "kept", "", "", "", count)
            for squad, count in kept.items()
        ]
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


def _changes(
    difference: Difference, words: _PlaceWords
) -> Iterator[tuple[str, str, str, str, date]]:
    """Yield all but what is kept: whose, what, the old place, the new one, and on which date."""
    for one, wanted in difference.moves:
        yield words.holder(one), "moved", words.of(one), words.of(wanted), wanted.day
    for wanted in difference.added:
        yield words.squad_name(wanted), "added", "", words.of(wanted), wanted.day
    for one in difference.withdrawn:
        yield words.holder(one), "withdrawn", words.of(one), "", words.day_of(one.starts)
    for piece in difference.closed:
        day = words.day_of(int(piece.during.starts_at.timestamp()))
        yield piece.reason, "closed", "", piece.area.words, day


class _PlaceWords:
    """Weekly places and holders in words, each written once: a season has them on many dates."""

    def __init__(self, names: Names, zone: ZoneInfo) -> None:
        self._names = names
        self._zone = zone
        self._holders: dict[int | None, str] = {}
        self.day_of = cache(self._day_of)
        self._times_of = cache(self._wall_times)
        self._write = cache(self._write_place)

    def of(self, one: Booked | Wanted) -> str:
        """Write weekday, times and ground."""
        return self._write(one.area_id, *self._times_of(one.starts, one.ends))

    def squad_name(self, wanted: Wanted) -> str:
        """Return who gets a session."""
        return self._names.squads[wanted.squad_id].name

    def holder(self, one: Booked) -> str:
        """Return who holds a booking."""
        if one.squad_id is None:
            return self._names.holder(one)
        if one.squad_id not in self._holders:
            self._holders[one.squad_id] = self._names.holder(one)
        return self._holders[one.squad_id]

    def _day_of(self, seconds: int) -> date:
        return instant_of(seconds).astimezone(self._zone).date()

    def _wall_times(self, starts: int, ends: int) -> tuple[int, int, int]:
        day = self.day_of(starts)
        start, end = (minute_from_instant(instant_of(s), day, self._zone) for s in (starts, ends))
        return day.weekday(), start, end

    def _write_place(self, area: int, weekday: int, start_min: int, end_min: int) -> str:
        times = f"{clock_from_minute(start_min)}–{clock_from_minute(end_min)}"
        return f"{weekday_in_words(weekday)} {times}, {self._names.grounds[area].words}"
