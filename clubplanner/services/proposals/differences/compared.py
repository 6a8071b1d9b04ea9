"""What publishing a proposal would change: its dated sessions held against what stands.

The same answer is shown before publishing and applied by it.
"""

from __future__ import annotations

from collections import defaultdict
from datetime import date, timedelta
from functools import cache
from typing import TYPE_CHECKING

import numpy as np
from sqlalchemy import select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.times.seasons import training_dates
from clubplanner.domain.times.seconds import days_in
from clubplanner.domain.times.times import (
    MINUTES_A_DAY,
    TimeRange,
    each_date,
    instant_from_wall,
    range_from_wall,
    range_left,
)
from clubplanner.errors import MissingError
from clubplanner.language import _
from clubplanner.services.proposals.dated import Booked, Ground, Names, by_ground_key, load_names
from clubplanner.services.proposals.dated_tables import (
    BOOKED_PLACE,
    SHARE_OUT,
    SQUAD,
    STARTS,
    W_DAY,
    W_SQUAD,
    W_STARTS,
    WANTED_PLACE,
    booked_from,
    days_of,
    first_of_each,
    pair_up,
    table_of,
    weeks_of,
)
from clubplanner.services.proposals.differences.season_trainings import (
    COLUMNS,
    load_season,
    read_trainings,
)
from clubplanner.services.proposals.differences.values import Closed, Difference
from clubplanner.services.proposals.proposals import Sort
from clubplanner.services.rows.seasons.squad_seasons import load_squad_seasons
from clubplanner.services.rows.snapshot import load_breaks, load_zone
from clubplanner.store.tables.booking_tables import BookingRow, ShareOutRow
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
    from datetime import datetime
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.services.proposals.dated_tables import Column, Table
    from clubplanner.services.proposals.proposals import GroundClosed, Proposal


def find_difference(
    session: Session, proposal: Proposal, now: datetime, week: date | None = None
) -> Difference:
    """Hold a proposal against what stands.

    Only sessions that are still to come count. Training that a share-out booked before is kept
    where it is the same, moved within its week where it can be, and withdrawn otherwise. What a
    person put somewhere stays there and stands in for a session of its week; only closed ground
    moves it. A session that is under way on ground that closes ends now.

    Args:
        session: An open session.
        proposal: The proposal.
        now: The present instant.
        week: A Monday, where only that week is asked about: sessions are paired within their weeks,
            so the others are left out, but for what reaches into it over midnight. None for all.

    Raises:
        MissingError: If squads or ground of the proposal are gone.
    """
    zone = load_zone(session)
    names = load_names(session)
    grounds, day_of = by_ground_key(names), days_in(zone)
    first, last = proposal.first, proposal.last
    if week is not None:
        first = max(first, week - timedelta(days=7))
        last = min(last, week + timedelta(days=6))
    closed = tuple(_closed_pieces(proposal.closures, grounds, zone, now))
    between = None if week is None else (first, last)
    wanted = _wanted(session, proposal, (grounds, names), between, now)
    loose, by_hand = _standing(session, proposal, (closed, names), (first, last), now)
    if proposal.sort.is_weekly or proposal.sort is Sort.TURNS:
        wanted = _without_stood_in(wanted, by_hand, day_of)
    wanted = wanted[first_of_each(wanted[:, WANTED_PLACE])]
    stays_here, there = pair_up(loose[:, BOOKED_PLACE], wanted[:, WANTED_PLACE])
    kept = loose[np.sort(stays_here)]
    free, left = np.delete(loose, stays_here, axis=0), np.delete(wanted, there, axis=0)
    mine, target = _pair(free, left, day_of)
    moved, moved_to = free[mine], left[target]
    gone = np.delete(free, mine, axis=0)
    ends_now, goes, written = _under_way(session, closed, names, now)
    cut = [(*one.place[:3], int(_minute(now).timestamp()), day_of(one.starts).toordinal())
           for one in booked_from(ends_now, written)]  # fmt: skip
    return Difference(
        kept,
        np.concatenate((moved, ends_now)),
        np.concatenate((moved_to, np.array(cut, dtype=np.int64).reshape(-1, 5))),
        np.delete(left, target, axis=0),
        np.concatenate((gone, goes)),
        written,
        closed,
        names,
    )


def _closed_pieces(
    closures: Iterable[GroundClosed], areas: Mapping[str, Ground], zone: ZoneInfo, now: datetime
) -> Iterator[Closed]:
    for closure in closures:
        area = areas.get(closure.ground)
        if area is None:
            raise MissingError(_("The closed ground is no longer there; close it anew."))
        for day in each_date(closure.first, closure.last):
            during = range_left(day, closure.start_min, closure.end_min, zone)
            if during is not None and during.ends_at > now:
                begins_at = max(during.starts_at, _minute(now))
                yield Closed(area, TimeRange(begins_at, during.ends_at), closure.reason)


def _wanted(
    session: Session,
    proposal: Proposal,
    known: tuple[Mapping[str, Ground], Names],
    between: tuple[date, date] | None,
    now: datetime,
) -> Table:
    """List every dated session, or those of some dates, that is to come and lies in no break."""
    grounds, names = known
    squads = {squad.key: squad for squad in names.squads.values()}
    dates = set(training_dates(proposal.stretch, load_breaks(session)))
    if between is not None:
        dates = {day for day in dates if between[0] <= day <= between[1]}
    seasons = load_squad_seasons(session)
    times = _times_in(load_zone(session), dates, int(now.timestamp()))
    found, whose = [np.zeros((0, 3), dtype=np.int64)], []
    for item in proposal.sessions:
        squad, ground = squads.get(item.squad), grounds.get(item.ground)
        if squad is None or ground is None:
            gone = item.squad_name if squad is None else item.ground_name
            raise MissingError(
                _("%(gone)s is no longer there; run the share-out again.", gone=gone)
            )
        dated, own = times(item.dates, item.start_min, item.end_min), seasons.get(squad.id)
        if own is not None:
            dated = dated[[own.has(date.fromordinal(day)) for day in dated[:, 2].tolist()]]
        found.append(dated)
        whose.append((squad.id, ground.id, len(dated)))
    owners = np.array(whose, dtype=np.int64).reshape(-1, 3)
    table = np.hstack((np.repeat(owners[:, :2], owners[:, 2], axis=0), np.concatenate(found)))
    return table[np.lexsort((table[:, W_SQUAD], table[:, W_STARTS]))]


def _standing(
    session: Session,
    proposal: Proposal,
    known: tuple[Sequence[Closed], Names],
    between: tuple[date, date],
    now: datetime,
) -> tuple[Table, Table]:
    """Return the training to come that may be moved, and what stands in for a share-out's."""
    closed, names = known
    table = _trainings(session, between, now)
    if proposal.squads is not None:
        own = session.scalars(select(SquadRow.id).where(SquadRow.key.in_(proposal.squads)))
        table = table[np.isin(table[:, SQUAD], own.all())]
    sorts = session.execute(select(ShareOutRow.id, ShareOutRow.sort))
    staying = [row.id for row in sorts if stays(proposal.sort, row.sort, is_fixed=False)]
    stay = np.isin(table[:, SHARE_OUT], staying) | (
        (table[:, -1] == 1) & stays(proposal.sort, None, is_fixed=True)
    )
    for piece in closed:
        stay &= ~piece.among(table, names.grounds)
    booked = table[:, :-1]
    return booked[~stay], booked[stay & (booked[:, SHARE_OUT] != 0)]


def _trainings(session: Session, between: tuple[date, date], now: datetime) -> Table:
    """Return the training to come on some dates, with whether a person put it there."""
    zone = load_zone(session)
    days = max(between[0], now.astimezone(zone).date()), between[1]
    span = instant_from_wall(days[0], 0, zone), instant_from_wall(days[1], MINUTES_A_DAY, zone)
    is_short = days[1] - days[0] <= timedelta(weeks=2)
    table = read_trainings(session, span) if is_short else load_season(session, span)
    to_come: Table = table[table[:, STARTS] > int(now.timestamp())]
    return to_come


def _under_way(
    session: Session, closed: Sequence[Closed], names: Names, now: datetime
) -> tuple[Table, Table, dict[int, str]]:
    """Return the training that is going on right now on ground that closes.

    Returns:
        What ends now, what has not had a minute and goes, and who it is for by its number.
    """
    found: list[Booked] = []
    if closed:
        rows = session.execute(
            select(*COLUMNS, BookingRow.written_holder).where(
                BookingRow.purpose == Purpose.TRAINING,
                BookingRow.is_withdrawn.is_(False),
                BookingRow.starts_at <= now,
                *BookingRow.not_over(now),
            )
        )
        found = [
            one
            for one in (Booked(*row) for row in rows)
            if any(piece.meets(one, names.grounds[one.area_id]) for piece in closed)
        ]
    this_minute = int(_minute(now).timestamp())
    ends: list[list[int]] = []
    goes: list[list[int]] = []
    for one in found:
        is_cut = bool(one.squad_id) and one.starts < this_minute
        row = one.id, one.sequence, one.squad_id or 0, one.area_id, one.starts, one.ends
        (ends if is_cut else goes).append([*row, one.share_out_id or 0])
    written = {one.id: one.written for one in found}
    return table_of(ends, len(COLUMNS)), table_of(goes, len(COLUMNS)), written


def stays(sort: Sort, came_by: str | None, *, is_fixed: bool) -> bool:
    """Whether a training booking is left alone by proposals of a sort.

    Whatever a person put somewhere stays; the rest of a stretch and turns also leave alone what was
    shared out again for one week or evening.

    Args:
        sort: That of the proposals.
        came_by: That of the share-out which put the booking there; None for none.
        is_fixed: Whether a person put it where it is.
    """
    apart = (Sort.WEEK.value, Sort.EVENING.value)
    return is_fixed or (sort in (Sort.REST, Sort.TURNS) and came_by in apart)


def _without_stood_in(wanted: Table, by_hand: Table, day_of: Callable[[int], date]) -> Table:
    """Leave out a session of the week for each one that a person has moved: the nearest."""
    if not len(by_hand):
        return wanted
    asked = np.flatnonzero(np.isin(wanted[:, W_SQUAD], by_hand[:, SQUAD]))
    left: dict[tuple[int, int], list[tuple[int, int]]] = defaultdict(list)
    weeks = weeks_of(wanted[asked, W_DAY]).tolist()
    rows = zip(asked.tolist(), wanted[asked].tolist(), weeks, strict=True)
    for number, row, week in rows:
        left[row[W_SQUAD], week].append((number, row[W_STARTS]))
    gone = []
    weeks = weeks_of(days_of(by_hand[:, STARTS], day_of)).tolist()
    for row, week in zip(by_hand.tolist(), weeks, strict=True):
        same = left[row[SQUAD], week]
        if same:
            nearest = min(same, key=lambda target: abs(target[1] - row[STARTS]))
            same.remove(nearest)
            gone.append(nearest[0])
    return np.delete(wanted, gone, axis=0)


def _pair(booked: Table, wanted: Table, day_of: Callable[[int], date]) -> tuple[Column, Column]:
    """Pair a squad's bookings with its new ones: of the same date first, then of the same week.

    Returns:
        Their places in both tables, in the order of what is wanted.
    """
    squads, days = booked[:, SQUAD], days_of(booked[:, STARTS], day_of)
    own, dates = wanted[:, W_SQUAD], wanted[:, W_DAY]
    mine, target = pair_up(np.stack((squads, days), 1), np.stack((own, dates), 1))
    free, left = np.arange(len(booked)), np.arange(len(wanted))
    free, left = np.delete(free, mine), np.delete(left, target)
    here, there = pair_up(
        np.stack((squads[free], weeks_of(days[free])), 1),
        np.stack((own[left], weeks_of(dates[left])), 1),
    )
    mine, target = np.concatenate((mine, free[here])), np.concatenate((target, left[there]))
    order = np.argsort(target, kind="stable")
    return mine[order], target[order]


def _minute(instant: datetime) -> datetime:
    return instant.replace(second=0, microsecond=0)


def _times_in(
    zone: ZoneInfo, dates: Collection[date], by_now: int
) -> Callable[[tuple[date, ...], int, int], Table]:
    """Return what gives the times of a weekly session; few are told of many sessions.

    Args:
        zone: The club's time zone.
        dates: The only dates that count.
        by_now: Seconds of the present; what has begun does not count.

    Returns:
        Of dates and two wall times makes seconds, seconds and the date's ordinal, by date.
    """

    @cache
    def times(own: tuple[date, ...], start_min: int, end_min: int) -> Table:
        rows = []
        for day in sorted(set(own).intersection(dates)):
            during = range_from_wall(day, start_min, end_min, zone)
            starts = int(during.starts_at.timestamp())
            if starts > by_now:
                rows.append((starts, int(during.ends_at.timestamp()), day.toordinal()))
        return table_of(rows, 3)

    return times
