"""What publishing a proposal would change: its dated sessions held against what stands.

The same answer is shown before publishing and applied by it.
"""

from __future__ import annotations

import hashlib
from collections import defaultdict
from dataclasses import dataclass
from datetime import timedelta
from functools import cache
from operator import itemgetter
from typing import TYPE_CHECKING

from sqlalchemy import BigInteger, select, type_coerce

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.times.seasons import training_dates
from clubplanner.domain.times.times import (
    MINUTES_A_DAY,
    TimeRange,
    each_date,
    instant_from_wall,
    range_from_wall,
)
from clubplanner.errors import MissingError
from clubplanner.language import _
from clubplanner.services.proposals.dated import (
    Booked,
    Ground,
    Names,
    Wanted,
    by_ground_key,
    instant_of,
    load_names,
)
from clubplanner.services.proposals.proposals import Sort
from clubplanner.services.rows.snapshot import load_breaks, load_zone
from clubplanner.services.rows.squad_seasons import load_squad_seasons
from clubplanner.store.tables.booking_tables import BookingRow, ShareOutRow
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.services.proposals.proposals import GroundClosed, Proposal

_Week = tuple[int, int]
_COLUMNS = (
    BookingRow.id,
    BookingRow.sequence,
    BookingRow.squad_id,
    BookingRow.area_id,
    type_coerce(BookingRow.starts_at, BigInteger),
    type_coerce(BookingRow.ends_at, BigInteger),
    BookingRow.share_out_id,
)
"""Those of `Booked`, in its order."""


@dataclass(frozen=True, slots=True)
class Closed:
    """Ground that is closed on one date."""

    area: Ground
    during: TimeRange
    reason: str

    def meets(self, one: Booked, ground: Ground) -> bool:
        """Whether a booking on a ground lies on the closed one while it is closed."""
        return (
            ground.pitch_id == self.area.pitch_id
            and bool(ground.cells & self.area.cells)
            and one.starts < int(self.during.ends_at.timestamp())
            and int(self.during.starts_at.timestamp()) < one.ends
        )


@dataclass(frozen=True, slots=True)
class Difference:
    """What publishing changes.

    Attributes:
        kept: Bookings that stay as they are.
        moves: Bookings that go elsewhere, with their new places.
        added: New sessions.
        withdrawn: Bookings that are given back.
        closed: Ground that is closed, a piece a date.
        names: Of the ground and the squads of all these.
    """

    kept: tuple[Booked, ...]
    moves: tuple[tuple[Booked, Wanted], ...]
    added: tuple[Wanted, ...]
    withdrawn: tuple[Booked, ...]
    closed: tuple[Closed, ...]
    names: Names

    def first_day(self, zone: ZoneInfo) -> date | None:
        """Return the first date on which anything but closed ground changes; None for none."""
        day_of = _days_in(zone)
        gone = [one for one, _unused in self.moves] + list(self.withdrawn)
        days = {day_of(one.starts) for one in gone}
        days |= {wanted.day for _unused, wanted in self.moves} | {one.day for one in self.added}
        return min(days, default=None)

    @property
    def digest(self) -> str:
        """A short text that is the same while the difference is."""
        parts = [f"k{one.id}.{one.sequence}" for one in self.kept]
        parts += [f"m{one.id}.{one.sequence}>{wanted.place}" for one, wanted in self.moves]
        parts += [f"a{wanted.place}" for wanted in self.added]
        parts += [f"w{one.id}.{one.sequence}" for one in self.withdrawn]
        return hashlib.sha256("|".join(parts).encode()).hexdigest()[:16]


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
    grounds, day_of = by_ground_key(names), _days_in(zone)
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
    places: dict[tuple[int | None, int, int, int], Wanted] = {one.place: one for one in wanted}
    kept, free = list[Booked](), list[Booked]()
    for one in loose:
        (free if places.pop(one.place, None) is None else kept).append(one)
    moves, added = _pair(free, list(places.values()), day_of)
    moved = {one.id for one, _unused in moves}
    gone = [one for one in free if one.id not in moved]
    this_minute = int(_minute(now).timestamp())
    for one in _under_way(session, closed, names, now):
        if one.squad_id is not None and one.starts < this_minute:
            squad, area, starts, _unused = one.place
            moves.append((one, Wanted(squad or 0, area, starts, this_minute, day_of(starts))))
        else:
            gone.append(one)
    return Difference(tuple(kept), tuple(moves), tuple(added), tuple(gone), closed, names)


def _closed_pieces(
    closures: Iterable[GroundClosed], areas: Mapping[str, Ground], zone: ZoneInfo, now: datetime
) -> Iterator[Closed]:
    for closure in closures:
        area = areas.get(closure.ground)
        if area is None:
            raise MissingError(_("The closed ground is no longer there; close it anew."))
        for day in each_date(closure.first, closure.last):
            during = range_from_wall(day, closure.start_min, closure.end_min, zone)
            if during.ends_at > now:
                begins_at = max(during.starts_at, _minute(now))
                yield Closed(area, TimeRange(begins_at, during.ends_at), closure.reason)


def _wanted(
    session: Session,
    proposal: Proposal,
    known: tuple[Mapping[str, Ground], Names],
    between: tuple[date, date] | None,
    now: datetime,
) -> list[Wanted]:
    """List every dated session, or those of some dates, that is to come and lies in no break."""
    grounds, names = known
    squads = {squad.key: squad for squad in names.squads.values()}
    dates = set(training_dates(proposal.stretch, load_breaks(session)))
    if between is not None:
        dates = {day for day in dates if between[0] <= day <= between[1]}
    seasons = load_squad_seasons(session)
    times = _times_in(load_zone(session))
    found = []
    for item in proposal.sessions:
        squad, ground = squads.get(item.squad), grounds.get(item.ground)
        if squad is None or ground is None:
            gone = item.squad_name if squad is None else item.ground_name
            raise MissingError(
                _("%(gone)s is no longer there; run the share-out again.", gone=gone)
            )
        own = seasons.get(squad.id)
        for day in dates.intersection(item.dates):
            if own is None or own.has(day):
                starts, ends = times(day, item.start_min, item.end_min)
                found.append(Wanted(squad.id, ground.id, starts, ends, day))
    by_now = int(now.timestamp())
    to_come = [one for one in found if one.starts > by_now]
    return sorted(to_come, key=itemgetter(2, 0))  # by start, then by squad


def _standing(
    session: Session,
    proposal: Proposal,
    known: tuple[Sequence[Closed], Names],
    between: tuple[date, date],
    now: datetime,
) -> tuple[list[Booked], list[Booked]]:
    """Return the training to come that may be moved, and what stands in for a share-out's."""
    closed, names = known
    zone = load_zone(session)
    first = instant_from_wall(between[0], 0, zone)
    last = instant_from_wall(between[1], MINUTES_A_DAY, zone)
    sorts = session.execute(select(ShareOutRow.id, ShareOutRow.sort))
    came_by = {row.id: row.sort for row in sorts}
    rows = session.execute(
        select(*_COLUMNS, BookingRow.is_fixed)
        .where(
            BookingRow.purpose == Purpose.TRAINING,
            BookingRow.is_withdrawn.is_(False),
            BookingRow.squad_id.is_not(None),
            BookingRow.starts_at >= first,
            BookingRow.starts_at > now,
            BookingRow.starts_at < last,
        )
        .order_by(BookingRow.starts_at, BookingRow.id)
    )
    wanted = None
    if proposal.squads is not None:
        own = select(SquadRow.id).where(SquadRow.key.in_(proposal.squads))
        wanted = set(session.scalars(own))
    stay = cache(lambda sort, is_fixed: stays(proposal.sort, sort, is_fixed=is_fixed))
    loose, by_hand = [], []
    for row in rows:
        one, is_fixed = Booked(*row[:-1]), row[-1]
        if wanted is not None and one.squad_id not in wanted:
            continue
        ground = names.grounds[one.area_id]
        is_hit = bool(closed) and any(piece.meets(one, ground) for piece in closed)
        if is_hit or not stay(came_by.get(one.share_out_id or 0), bool(is_fixed)):
            loose.append(one)
        elif one.share_out_id is not None:
            by_hand.append(one)
    return loose, by_hand


def _under_way(
    session: Session, closed: Sequence[Closed], names: Names, now: datetime
) -> list[Booked]:
    """Return the training that is going on right now on ground that closes."""
    if not closed:
        return []
    rows = session.execute(
        select(*_COLUMNS, BookingRow.written_holder).where(
            BookingRow.purpose == Purpose.TRAINING,
            BookingRow.is_withdrawn.is_(False),
            BookingRow.starts_at <= now,
            *BookingRow.not_over(now),
        )
    )
    found = [Booked(*row) for row in rows]
    return [
        one
        for one in found
        if any(piece.meets(one, names.grounds[one.area_id]) for piece in closed)
    ]


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


def _without_stood_in(
    wanted: Sequence[Wanted], by_hand: Sequence[Booked], day_of: Callable[[int], date]
) -> list[Wanted]:
    """Leave out a session of the week for each one that a person has moved: the nearest."""
    if not by_hand:
        return list(wanted)
    week_in = cache(week_of)
    left: dict[tuple[int | None, _Week], list[Wanted]] = defaultdict(list)
    for target in wanted:
        left[target.squad_id, week_in(target.day)].append(target)
    gone = set()
    for one in by_hand:
        same = left[one.squad_id, week_in(day_of(one.starts))]
        if same:
            nearest = min(same, key=lambda target: abs(target.starts - one.starts))
            same.remove(nearest)
            gone.add(nearest)
    return [target for target in wanted if target not in gone]


def _pair(
    booked: Sequence[Booked], wanted: Sequence[Wanted], day_of: Callable[[int], date]
) -> tuple[list[tuple[Booked, Wanted]], list[Wanted]]:
    """Pair a squad's bookings with its new ones: of the same date first, then of the same week."""
    week_in = cache(week_of)
    free: dict[tuple[int | None, _Week], list[Booked]] = defaultdict(list)
    for one in booked:
        free[one.squad_id, week_in(day_of(one.starts))].append(one)
    mates: dict[int, Booked] = {}
    for n, target in enumerate(wanted):
        own = free[target.squad_id, week_in(target.day)]
        same = next((one for one in own if day_of(one.starts) == target.day), None)
        if same is not None:
            own.remove(same)
            mates[n] = same
    for n, target in enumerate(wanted):
        own = free[target.squad_id, week_in(target.day)]
        if n not in mates and own:
            mates[n] = own.pop(0)
    moves = [(mates[n], target) for n, target in enumerate(wanted) if n in mates]
    return moves, [target for n, target in enumerate(wanted) if n not in mates]


def week_of(day: date) -> _Week:
    """Return year and number of a date's week, Monday first."""
    return day.isocalendar()[:2]


def _minute(instant: datetime) -> datetime:
    return instant.replace(second=0, microsecond=0)


def _days_in(zone: ZoneInfo) -> Callable[[int], date]:
    """Return what gives the local date of an instant in seconds; few are told of many sessions."""

    @cache
    def day_of(seconds: int) -> date:
        return instant_of(seconds).astimezone(zone).date()

    return day_of


def _times_in(zone: ZoneInfo) -> Callable[[date, int, int], tuple[int, int]]:
    """Return what gives seconds of two wall times of a date; few are told of many sessions."""

    @cache
    def times(day: date, start_min: int, end_min: int) -> tuple[int, int]:
        during = range_from_wall(day, start_min, end_min, zone)
        return int(during.starts_at.timestamp()), int(during.ends_at.timestamp())

    return times
