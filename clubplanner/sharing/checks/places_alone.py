"""The places that an ask could have if there were nobody else, in plain Python.

Like `checking`, it shares nothing with the search but values. Asks that want the same of ground
have the same ground, and whether a place is closed, dark or booked is the same for all.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from clubplanner.sharing.checks.by_place import ByPlace
from clubplanner.sharing.checks.checking import (
    date_rules,
    ground_rules,
    load_rules,
    time_rules,
    venue_rules,
)
from clubplanner.sharing.values.problem import Placement

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import date

    from clubplanner.sharing.values.problem import Ask, Day, Ground, Problem


class PlacesAlone:
    """The places of a problem that break no rule by themselves; pinned sessions have theirs.

    Attributes:
        by_place: The problem by pitch and day.
    """

    def __init__(self, problem: Problem) -> None:
        self.by_place = ByPlace(problem)
        self._problem = problem
        self._grounds = {ground.key: ground for ground in problem.grounds}
        self._limited = {load.pitch for load in problem.loads}
        self._fit: dict[Ask, list[Ground]] = {}
        self._codes: dict[tuple[str, int, int, int], tuple[str, ...]] = {}
        self._lost: dict[tuple[str, int, int, int], tuple[date, ...]] = {}
        self._light: dict[tuple[object, ...], bool] = {}

    def ground(self, placement: Placement) -> Ground:
        """Return the ground of a session."""
        return self._grounds[placement.ground]

    def of(self, ask: Ask) -> Iterator[tuple[Placement, Ground]]:
        """List the places of an ask, each as a session 0; its pinned sessions first."""
        for pin in ask.pinned:
            yield pin, self._grounds[pin.ground]
        yield from self.free(ask)

    def free(self, ask: Ask) -> Iterator[tuple[Placement, Ground]]:
        """List the places of an ask that are not pinned."""
        for day in self._problem.days:
            for tried in self.times(ask, day):
                start, end = tried.start_min, tried.end_min
                for ground in self.grounds_at(ask, tried):
                    yield Placement(ask.key, 0, ground.key, day.index, start, end), ground

    def times(self, ask: Ask, day: Day) -> Iterator[Placement]:
        """List when an ask could have a session on a day, with a blank for the ground."""
        if not day.dates:
            return
        for start in starts_of(self._problem, ask, day.index):
            tried = Placement(ask.key, 0, "", day.index, start, start + ask.minutes)
            if not any(time_rules(self._problem, ask, tried)):
                yield tried

    def fit(self, ask: Ask) -> Sequence[Ground]:
        """List the ground that an ask could have at some time."""
        key = _but_for_times(ask)
        if key not in self._fit:
            self._fit[key] = [
                ground for ground in self._problem.grounds if not any(ground_rules(ask, ground))
            ]
        return self._fit[key]

    def grounds_at(self, ask: Ask, tried: Placement) -> Iterator[Ground]:
        """List the ground that an ask could have at a time of its own."""
        return (ground for ground in self.fit(ask) if not self.codes_there(ground, tried))

    def codes_there(self, ground: Ground, tried: Placement) -> tuple[str, ...]:
        """Name the rules that whoever is somewhere then breaks: closed, dark, booked."""
        where = (ground.key, tried.day, tried.start_min, tried.end_min)
        if where not in self._codes:
            here = self.by_place.at(ground.pitch, tried.day)
            codes = [*venue_rules(here, ground, tried), *date_rules(here, ground, tried)]
            self._codes[where] = tuple(code for code in codes if code != "lost dates")
        return self._codes[where]

    def with_lost(self, ground: Ground, place: Placement) -> Placement:
        """Return a place with the dates that it loses to standing bookings."""
        return replace(place, lost_dates=self.lost(ground, place))

    def lost(self, ground: Ground, place: Placement) -> tuple[date, ...]:
        """List the dates that a place loses to standing bookings."""
        where = (ground.key, place.day, place.start_min, place.end_min)
        if where not in self._lost:
            here = self.by_place.at(ground.pitch, place.day)
            day = self._problem.days[place.day]
            self._lost[where] = lost_dates(here, ground, day, place.start_min, place.end_min)
        return self._lost[where]

    def is_light(self, ask: Ask, ground: Ground, place: Placement) -> bool:
        """Tell whether a place would not by itself use a pitch beyond its limit."""
        if ground.pitch not in self._limited:
            return True
        key = self.use_of(ask, ground, place)
        if key not in self._light:
            tried = replace(self.with_lost(ground, place), session=-1)
            here = replace(self.by_place.on(ground.pitch), asks=(ask,))
            self._light[key] = not any(load_rules(here, [tried]))
        return self._light[key]

    def use_of(self, ask: Ask, ground: Ground, place: Placement) -> tuple[object, ...]:
        """Return all that limits on use look at, but who else is on the pitch."""
        part = ground.pitch, ground.share, ground.share_of_pitch
        return *part, ask.wear_percent, ask.minutes, place.day, self.lost(ground, place)


def _but_for_times(ask: Ask) -> Ask:
    """Return an ask without what rules about ground do not look at; a field that is new stays."""
    return replace(
        ask,
        key="",
        squad="",
        squad_name="",
        coach=None,
        sessions=1,
        minutes=0,
        possible=(),
        preferred=(),
        priority=1,
        pinned=(),
        latest_finish_min=None,
        rest_days=0,
        no_day_before=frozenset(),
        no_day_after=frozenset(),
        wear_percent=0,
        wishes=(),
        past=0,
        earliest_start_min=None,
        most_in_a_row=None,
    )


def starts_of(problem: Problem, ask: Ask, day: int) -> list[int]:
    """List the minutes at which a session of an ask could start on a day, by its own windows."""
    windows = [window for window in ask.possible if window.day == day]
    starts = {window.start_min for window in windows}
    for window in windows:
        starts |= {
            minute
            for minute in range(window.start_min, window.end_min)
            if minute % problem.step_minutes == 0
        }
    return sorted(starts)


def lost_dates(
    problem: Problem, ground: Ground, day: Day, start_min: int, end_min: int
) -> tuple[date, ...]:
    """List the dates on which standing bookings take a ground at a time."""
    taken = {
        booking.date
        for booking in problem.standing
        for gap in (problem.changeover_minutes if booking.needs_changeover else 0,)
        if booking.pitch == ground.pitch
        and booking.cells & ground.cells
        and start_min < booking.end_min + gap
        and booking.start_min < end_min + gap
    }
    return tuple(when for when in day.dates if when in taken)
