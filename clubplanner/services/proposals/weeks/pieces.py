"""What a proposal changes in a week, to be drawn: against what stands, or another proposal."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from datetime import timedelta
from typing import TYPE_CHECKING

import numpy as np

from clubplanner.domain.keys import ground_key
from clubplanner.domain.times.times import TimeRange, range_from_wall
from clubplanner.errors import MissingError
from clubplanner.language import _
from clubplanner.outputs.charts.weeks.week_values import Look, Sign
from clubplanner.services.proposals.dated_tables import (
    AREA,
    ID,
    STARTS,
    W_AREA,
    W_STARTS,
    booked_from,
    wanted_from,
)
from clubplanner.services.showing.drawn_weeks import Shown, day_shown

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
    from datetime import date
    from zoneinfo import ZoneInfo

    from clubplanner.domain.ground.grounds import Venue
    from clubplanner.services.proposals.dated import Ground, Wanted
    from clubplanner.services.proposals.dated_tables import Table
    from clubplanner.services.proposals.differences.values import Difference
    from clubplanner.services.proposals.proposals import Proposal

DAYS = 7
_Ground = dict[str, tuple[str, str]]
"""Key of a ground → keys of its pitch and area."""


@dataclass(frozen=True, slots=True)
class Changed:
    """What changes in a week.

    Attributes:
        counts: How much changes on each pitch, by its key.
        replaced: Numbers of the bookings that do not stay, of any week.
        pieces: Gives what is drawn on pitches of some keys; a council's week is drawn of a few.
    """

    counts: Counter[str]
    replaced: frozenset[int]
    pieces: Callable[[Collection[str]], Iterable[Shown]]


def nothing_changed() -> Changed:
    """Return that nothing changes."""
    return Changed(Counter(), frozenset(), lambda _keys: ())


def changed_by(
    difference: Difference,
    proposal: Proposal,
    week: TimeRange,
    zone: ZoneInfo,
    address: Callable[[int], str],
) -> Changed:
    """Return what a proposal changes in a week of what stands.

    Args:
        difference: What it changes.
        proposal: The proposal.
        week: From Monday on.
        zone: The club's time zone.
        address: Where a session of the proposal leads, by its number in it.
    """
    gone = np.concatenate((difference.moved_rows, difference.withdrawn_rows))
    within = _within(gone, STARTS, week)
    new = [
        (Sign.MOVED, _within(difference.moved_to, W_STARTS, week)),
        (Sign.ADDED, _within(difference.added_rows, W_STARTS, week)),
    ]
    areas = np.concatenate((within[:, AREA], *(rows[:, W_AREA] for _sign, rows in new)))
    grounds = difference.names.grounds
    counts = Counter(grounds[area].pitch_key for area in areas.tolist())

    def pieces(keys: Collection[str]) -> Iterator[Shown]:
        own = [number for number, area in grounds.items() if area.pitch_key in keys]
        leads_to = _leading(difference, proposal, day_shown(week, zone), zone, address)
        for one in booked_from(within[np.isin(within[:, AREA], own)], difference.written):
            area = grounds[one.area_id]
            yield _piece(area, one.during, difference.names.holder(one), Sign.GONE)
        for sign, rows in new:
            for wanted in wanted_from(rows[np.isin(rows[:, W_AREA], own)]):
                area, who = grounds[wanted.area_id], difference.names.squads[wanted.squad_id].name
                yield _piece(area, wanted.during, who, sign, address=leads_to(wanted))
        for piece in difference.closed:
            if piece.during.overlaps(week) and piece.area.pitch_key in keys:
                look = Look.CLOSED
                yield _piece(piece.area, piece.during, piece.reason, Sign.NONE, look=look)

    return Changed(counts, frozenset(gone[:, ID].tolist()), pieces)


def _leading(
    difference: Difference,
    proposal: Proposal,
    monday: date,
    zone: ZoneInfo,
    address: Callable[[int], str],
) -> Callable[[Wanted], str]:
    """Return what tells where a session of the proposal leads."""
    names = difference.names
    days = {monday + timedelta(days=n) for n in range(-1, DAYS)}  # the night before reaches in
    numbers = {
        (item.squad, day, item.start_min, item.ground): n
        for n, item in enumerate(proposal.sessions)
        for day in days.intersection(item.dates)
    }

    def leads_to(wanted: Wanted) -> str:
        wall = wanted.during.starts_at.astimezone(zone)
        area = names.grounds[wanted.area_id]
        squad, ground = names.squads[wanted.squad_id].key, ground_key(area.pitch_key, area.key)
        number = numbers.get((squad, wanted.day, wall.hour * 60 + wall.minute, ground))
        return "" if number is None else address(number)

    return leads_to


def changed_in(shown: Iterable[Shown], week: TimeRange) -> Changed:
    """Return what changes in a week of all that two proposals hold against each other."""
    there = [one for one in shown if one.during.overlaps(week)]
    counts = Counter(one.pitch_key for one in there if one.sign is not Sign.NONE)
    return Changed(
        counts, frozenset(), lambda keys: (one for one in there if one.pitch_key in keys)
    )


def held_against(
    proposal: Proposal,
    other: Proposal,
    venues: Sequence[Venue],
    zone: ZoneInfo,
    address: Callable[[int], str],
) -> list[Shown]:
    """Hold the dated sessions of two proposals against each other, week by week of a squad."""
    return list(_against(proposal, other, _grounds(venues), zone, address))


def leads_nowhere(_number: int) -> str:
    """Return no address."""
    return ""


def _within(table: Table, starts: int, week: TimeRange) -> Table:
    """Return what lies in a range; after the column of the start comes that of the end."""
    first, last = (int(at.timestamp()) for at in (week.starts_at, week.ends_at))
    found: Table = table[(table[:, starts] < last) & (table[:, starts + 1] > first)]
    return found


def _piece(
    area: Ground,
    during: TimeRange,
    who: str,
    sign: Sign,
    *,
    look: Look = Look.TRAINING,
    address: str = "",
) -> Shown:
    return Shown(area.pitch_key, area.key, during, who, look, sign=sign, address=address)


def _grounds(venues: Sequence[Venue]) -> _Ground:
    return {
        ground_key(pitch.key, area.key): (pitch.key, area.key)
        for venue in venues
        for pitch in venue.pitches
        for area in pitch.areas
    }


def _against(
    proposal: Proposal,
    other: Proposal,
    ground: _Ground,
    zone: ZoneInfo,
    address: Callable[[int], str],
) -> Iterator[Shown]:
    """Hold the dated sessions of two proposals against each other, week by week of a squad."""
    ours = dict(_dated(proposal, ground, zone, address))
    theirs = dict(_dated(other, ground, zone, leads_nowhere))
    gone = {key: one for key, one in theirs.items() if key not in ours}
    left = Counter(_squad_week(key) for key in gone)
    for key, one in ours.items():
        if key in theirs:
            yield one
        elif left[_squad_week(key)]:
            left[_squad_week(key)] -= 1
            yield replace(one, sign=Sign.MOVED)
        else:
            yield replace(one, sign=Sign.ADDED)
    yield from (replace(one, sign=Sign.GONE) for one in gone.values())


_Dated = tuple[str, str, "date", int, int]
"""Squad, ground, date, start and end: what makes two sessions the same."""


def _dated(
    proposal: Proposal, ground: _Ground, zone: ZoneInfo, address: Callable[[int], str]
) -> Iterator[tuple[_Dated, Shown]]:
    for n, item in enumerate(proposal.sessions):
        if item.ground not in ground:
            raise MissingError(
                _("%(gone)s is no longer there; run the share-out again.", gone=item.ground_name)
            )
        for day in item.dates:
            during = range_from_wall(day, item.start_min, item.end_min, zone)
            key = item.squad, item.ground, day, item.start_min, item.end_min
            place = ground[item.ground]
            yield key, Shown(*place, during, item.squad_name, Look.TRAINING, address=address(n))


def _squad_week(key: _Dated) -> tuple[str, date]:
    return key[0], key[2] - timedelta(days=key[2].weekday())
