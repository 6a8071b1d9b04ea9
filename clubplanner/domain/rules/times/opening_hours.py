"""Opening hours: nobody is there while the venue is closed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.domain.rules.case import Hindrance
from clubplanner.domain.times.times import clock_from_minute
from clubplanner.domain.times.windows import join_windows
from clubplanner.language import _, marked, weekday_in_words

if TYPE_CHECKING:
    from clubplanner.domain.rules.case import Case

NAME = marked("opening hours")


def opening_hours(case: Case) -> Hindrance | None:
    """Refuse what does not lie wholly in one of the venue's opening hours of that weekday."""
    if any(case.lies_in(window) for window in join_windows(case.venue.opening)):
        return None
    weekday = case.day.weekday()
    hours = [
        f"{clock_from_minute(window.start_min)}–{clock_from_minute(window.end_min)}"
        for window in case.venue.opening
        if window.weekday == weekday
    ]
    if not hours:
        words = _(
            "%(venue)s is closed on a %(weekday)s.",
            venue=case.venue.name,
            weekday=weekday_in_words(weekday),
        )
    else:
        words = _(
            "%(venue)s is open %(hours)s on a %(weekday)s.",
            venue=case.venue.name,
            hours=", ".join(hours),
            weekday=weekday_in_words(weekday),
        )
    return Hindrance(NAME, words)
