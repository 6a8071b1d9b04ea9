"""Days, places and who holds them, in the language of whoever reads them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.domain.times.times import day_in_words
from clubplanner.language import _, weekday_in_words
from clubplanner.sharing.values.words import listed, span

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from clubplanner.sharing.values.facts import DayName, Holder, Hours, Spot

MOST_NAMED = 6
"""How many holders a reason names before it counts the rest."""


def day_told(day: DayName) -> str:
    """Say what a day is called."""
    if day.weekday is not None:
        return weekday_in_words(day.weekday)
    return day_in_words(day.date) if day.date is not None else day.name


def days_told(days: Iterable[DayName], word: str = "and") -> str:
    """List days in a sentence."""
    return listed([day_told(day) for day in days], word)


def place_told(spot: Spot) -> str:
    """Write where and when something is: "Tuesday 18:00–19:15, North third"."""
    return f"{day_told(spot.day)} {span(spot.start_min, spot.end_min)}, {spot.ground_name}"


def hours_told(hours: Iterable[Hours]) -> str:
    """Write possible times, days with the same ones together."""
    by_times: dict[str, list[str]] = {}
    for one in hours:
        times = listed([span(part.start_min, part.end_min) for part in one.spans], "or")
        by_times.setdefault(times, []).append(day_told(one.day))
    return listed([f"{listed(names, 'or')} {times}" for times, names in by_times.items()], "or")


def holders_told(holders: Sequence[Holder], more: int = 0) -> str:
    """Name squads with their ground and times, and say how many more there are."""
    parts = [
        f"{one.squad_name} ({one.spot.ground_name}, {span(one.spot.start_min, one.spot.end_min)})"
        for one in holders
    ]
    return and_more(parts, more)


def and_more(parts: Sequence[str], more: int) -> str:
    """Write a list, and how many more there are."""
    if not more:
        return listed(parts)
    return _("%(parts)s and %(most)s more", parts=", ".join(parts), most=more)
