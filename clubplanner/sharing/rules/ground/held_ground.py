"""Held ground: one booking a cell at a time, with the changeover between two of them.

Standing bookings take single dates of a weekly place; it may lose some of them, not too many.
Sessions of the plan take all of them. The rows that keep two sessions off each other's cells are
the frame of the model itself: `model.ShareModel`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from clubplanner.language import _
from clubplanner.sharing.ground.candidates import is_near
from clubplanner.sharing.ground.terrain import once
from clubplanner.sharing.rules.rule import Rule, Words

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from clubplanner.sharing.ground.candidates import Candidates
    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.rules.rule import Mask, Stays
    from clubplanner.sharing.values.facts import RuleSaid

_Held = tuple[int, int, int, "NDArray[np.int64]"]
"""The place of a date in its day's list, first minute and minute after the last, both with what is
kept free around them, and grounds taken."""


@once
def _held_by_day(terrain: Terrain) -> tuple[list[_Held], ...]:
    problem = terrain.problem
    places = {
        when: (day.index, place) for day in problem.days for place, when in enumerate(day.dates)
    }
    pitches = {key: number for number, key in enumerate(terrain.pitches)}
    by_day: tuple[list[_Held], ...] = tuple([] for _day in problem.days)
    for booking in problem.standing:
        if booking.date in places:
            day, place = places[booking.date]
            meets = (terrain.cells & np.uint64(booking.cells)) != 0
            taken = np.flatnonzero(meets & (terrain.pitch == pitches.get(booking.pitch, -1)))
            gap = problem.changeover_minutes if booking.needs_changeover else 0
            by_day[day].append((place, booking.start_min - gap, booking.end_min + gap, taken))
    return by_day


def dates_lost(
    terrain: Terrain, day: int, starts: NDArray[np.int64], ends: NDArray[np.int64]
) -> NDArray[np.uint64]:
    """Mark by ground and start the dates that standing bookings take, a bit mask each."""
    lost = np.zeros((len(terrain.problem.grounds), len(starts)), dtype=np.uint64)
    for place, start, end, taken in _held_by_day(terrain)[day]:
        when = np.flatnonzero((starts < end) & (start < ends))
        lost[np.ix_(taken, when)] |= np.uint64(1 << place)
    return lost


def loses_too_many(terrain: Terrain, stays: Stays) -> Mask | None:
    """Mark places that lose more of their dates than the problem allows, or all of them."""
    dates = len(terrain.problem.days[stays.day].dates)
    if not dates:
        return None
    gone = np.bitwise_count(stays.lost).astype(np.int64)
    limit = terrain.problem.most_dates_lost
    return np.asarray((gone * limit.denominator > limit.numerator * dates) | (gone == dates))


def share_ground(terrain: Terrain, rows: Candidates, others: Candidates) -> Mask:
    """Tell which rows share ground at one moment, changeover counted in, with which others."""
    cells = (terrain.cells[rows.ground][:, None] & terrain.cells[others.ground][None, :]) != 0
    same = terrain.pitch[rows.ground][:, None] == terrain.pitch[others.ground][None, :]
    return np.asarray(cells & same & is_near(rows, others, terrain.problem.changeover_minutes))


def _wanted(said: RuleSaid) -> str:
    words = _("is free of standing bookings")
    return _("%(words)s on enough dates", words=words) if said.is_weekly else words


def _but_for(said: RuleSaid) -> str:
    dates = (" " + _("on too many of its dates")) if said.is_weekly else ""
    return _("bookings that stand") + dates


def _of_pin(said: RuleSaid) -> str:
    if said.is_weekly:
        return _("standing bookings take too many of its dates")
    return _("a standing booking has the ground")


RULE = Rule(
    code="held",
    binds_pins=True,
    on_place=loses_too_many,
    clash=share_ground,
    words=Words(wanted=_wanted, but_for=_but_for, of_pin=_of_pin),
)
