"""What publishing a proposal would change: its dated sessions held against what stands.

The same answer is shown before publishing and applied by it.
"""

from __future__ import annotations

import hashlib
from collections import defaultdict
from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import select
from sqlalchemy.orm import selectinload
from sqlalchemy.orm.attributes import set_committed_value

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.keys import ground_key
from clubplanner.domain.times.seasons import training_dates
from clubplanner.domain.times.times import (
    MINUTES_A_DAY,
    TimeRange,
    each_date,
    instant_from_wall,
    range_from_wall,
)
from clubplanner.domain.times.year import SquadSeason
from clubplanner.errors import MissingError
from clubplanner.language import _
from clubplanner.services.proposals.proposals import Sort
from clubplanner.services.rows.snapshot import WITH_NAMES, load_breaks, load_zone
from clubplanner.services.rows.squad_seasons import load_squad_seasons
from clubplanner.store.tables.booking_tables import BookingRow, ShareOutRow
from clubplanner.store.tables.ground_tables import AreaRow, PitchRow
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.services.proposals.proposals import GroundClosed, Proposal

_Week = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Wanted:
    """A dated session that a proposal gives a squad."""

    squad: SquadRow
    area: AreaRow
    during: TimeRange
    day: date

    @property
    def place(self) -> tuple[int, int, datetime, datetime]:
        """What makes two bookings of a squad the same."""
        return self.squad.id, self.area.id, self.during.starts_at, self.during.ends_at


@dataclass(frozen=True, slots=True)
class Closed:
    """Ground that is closed on one date."""

    area: AreaRow
    during: TimeRange
    reason: str

    def meets(self, row: BookingRow) -> bool:
        """Whether a booking lies on the closed ground while it is closed."""
        return (
            row.pitch_id == self.area.pitch_id
            and bool(row.cells & self.area.cells)
            and row.starts_at < self.during.ends_at
            and self.during.starts_at < row.ends_at
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
    """

    kept: tuple[BookingRow, ...]
    moves: tuple[tuple[BookingRow, Wanted], ...]
    added: tuple[Wanted, ...]
    withdrawn: tuple[BookingRow, ...]
    closed: tuple[Closed, ...]

    def first_day(self, zone: ZoneInfo) -> date | None:
        """Return the first date on which anything but closed ground changes; None for none."""
        gone = [row for row, _unused in self.moves] + list(self.withdrawn)
        days = {_day_of(row, zone) for row in gone}
        days |= {wanted.day for _unused, wanted in self.moves} | {one.day for one in self.added}
        return min(days, default=None)

    @property
    def digest(self) -> str:
        """A short text that is the same while the difference is."""
        parts = [f"k{row.id}.{row.sequence}" for row in self.kept]
        parts += [f"m{row.id}.{row.sequence}>{wanted.place}" for row, wanted in self.moves]
        parts += [f"a{wanted.place}" for wanted in self.added]
        parts += [f"w{row.id}.{row.sequence}" for row in self.withdrawn]
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
    areas = _areas(session)
    squads = {squad.key: squad for squad in session.scalars(select(SquadRow))}
    first, last = proposal.first, proposal.last
    if week is not None:
        first = max(first, week - timedelta(days=7))
        last = min(last, week + timedelta(days=6))
    closed = tuple(_closed_pieces(proposal.closures, areas, zone, now))
    wanted = _wanted(
        session, proposal, (areas, squads), None if week is None else (first, last), now
    )
    loose, by_hand = _standing(session, proposal, closed, (first, last), now)
    _know_their_own([*loose, *by_hand], areas.values(), squads.values())
    if proposal.sort.is_weekly or proposal.sort is Sort.TURNS:
        wanted = _without_stood_in(wanted, by_hand, zone)
    places = {w.place: w for w in wanted}
    kept = [row for row in loose if places.pop(_place_of(row), None) is not None]
    kept_ids = {row.id for row in kept}
    free = [row for row in loose if row.id not in kept_ids]
    moves, added = _pair(free, list(places.values()), zone)
    moved = {row.id for row, _unused in moves}
    gone = [row for row in free if row.id not in moved]
    for row in _under_way(session, closed, now):
        if row.starts_at < _minute(now) and row.squad is not None:
            during = TimeRange(row.starts_at, _minute(now))
            moves.append((row, Wanted(row.squad, row.area, during, _day_of(row, zone))))
        else:
            gone.append(row)
    return Difference(tuple(kept), tuple(moves), tuple(added), tuple(gone), closed)


def _areas(session: Session) -> dict[str, AreaRow]:
    return {
        ground_key(pitch.key, area.key): area
        for area, pitch in session.execute(
            select(AreaRow, PitchRow)
            .join(PitchRow, AreaRow.pitch_id == PitchRow.id)
            .options(selectinload(AreaRow.pitch))
        )
    }


def _closed_pieces(
    closures: Iterable[GroundClosed], areas: Mapping[str, AreaRow], zone: ZoneInfo, now: datetime
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
    rows: tuple[Mapping[str, AreaRow], Mapping[str, SquadRow]],
    between: tuple[date, date] | None,
    now: datetime,
) -> list[Wanted]:
    """List every dated session, or those of some dates, that is to come and lies in no break."""
    zone = load_zone(session)
    areas, squads = rows
    dates = set(training_dates(proposal.stretch, load_breaks(session)))
    if between is not None:
        dates = {day for day in dates if between[0] <= day <= between[1]}
    seasons = load_squad_seasons(session)
    found = []
    for item in proposal.sessions:
        squad, area = squads.get(item.squad), areas.get(item.ground)
        if squad is None or area is None:
            gone = item.squad_name if squad is None else item.ground_name
            raise MissingError(
                _("%(gone)s is no longer there; run the share-out again.", gone=gone)
            )
        own = seasons.get(squad.id, SquadSeason())
        for day in filter(own.has, dates.intersection(item.dates)):
            during = range_from_wall(day, item.start_min, item.end_min, zone)
            if during.starts_at > now:
                found.append(Wanted(squad, area, during, day))
    return sorted(found, key=lambda w: (w.during.starts_at, w.squad.id))


def _standing(
    session: Session,
    proposal: Proposal,
    closed: Sequence[Closed],
    between: tuple[date, date],
    now: datetime,
) -> tuple[list[BookingRow], list[BookingRow]]:
    """Return the training to come that may be moved, and what stands in for a share-out's."""
    zone = load_zone(session)
    first = instant_from_wall(between[0], 0, zone)
    last = instant_from_wall(between[1], MINUTES_A_DAY, zone)
    rows = session.execute(
        select(BookingRow, ShareOutRow.sort)
        .outerjoin(ShareOutRow, ShareOutRow.id == BookingRow.share_out_id)
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
    loose, by_hand = [], []
    for row, sort in rows:
        if wanted is not None and row.squad_id not in wanted:
            continue
        is_hit = any(piece.meets(row) for piece in closed)
        if is_hit or not stays(proposal.sort, sort, is_fixed=row.is_fixed):
            loose.append(row)
        elif row.share_out_id is not None:
            by_hand.append(row)
    return loose, by_hand


def _know_their_own(
    rows: Iterable[BookingRow], areas: Iterable[AreaRow], squads: Iterable[SquadRow]
) -> None:
    """Give bookings their ground and squads, which are loaded already."""
    area_of, squad_of = {row.id: row for row in areas}, {row.id: row for row in squads}
    for row in rows:
        area = area_of[row.area_id]
        set_committed_value(row, "area", area)
        set_committed_value(row, "pitch", area.pitch)
        set_committed_value(row, "squad", squad_of[row.squad_id or 0])


def _under_way(session: Session, closed: Sequence[Closed], now: datetime) -> list[BookingRow]:
    """Return the training that is going on right now on ground that closes."""
    rows = session.scalars(
        select(BookingRow)
        .where(
            BookingRow.purpose == Purpose.TRAINING,
            BookingRow.is_withdrawn.is_(False),
            BookingRow.starts_at <= now,
            *BookingRow.not_over(now),
        )
        .options(*WITH_NAMES)
    )
    return [row for row in rows if any(piece.meets(row) for piece in closed)]


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
    wanted: Sequence[Wanted], by_hand: Sequence[BookingRow], zone: ZoneInfo
) -> list[Wanted]:
    """Leave out a session of the week for each one that a person has moved: the nearest."""
    left = list(wanted)
    for row in by_hand:
        day = _day_of(row, zone)
        same = [w for w in left if w.squad.id == row.squad_id and week_of(w.day) == week_of(day)]
        if same:
            left.remove(min(same, key=lambda w: abs(w.during.starts_at - row.starts_at)))
    return left


def _pair(
    rows: Sequence[BookingRow], wanted: Sequence[Wanted], zone: ZoneInfo
) -> tuple[list[tuple[BookingRow, Wanted]], list[Wanted]]:
    """Pair a squad's bookings with its new ones: of the same date first, then of the same week."""
    free: dict[tuple[int | None, _Week], list[BookingRow]] = defaultdict(list)
    for row in rows:
        free[row.squad_id, week_of(_day_of(row, zone))].append(row)
    mates: dict[int, BookingRow] = {}
    for n, target in enumerate(wanted):
        own = free[target.squad.id, week_of(target.day)]
        same = next((row for row in own if _day_of(row, zone) == target.day), None)
        if same is not None:
            own.remove(same)
            mates[n] = same
    for n, target in enumerate(wanted):
        own = free[target.squad.id, week_of(target.day)]
        if n not in mates and own:
            mates[n] = own.pop(0)
    moves = [(mates[n], target) for n, target in enumerate(wanted) if n in mates]
    return moves, [target for n, target in enumerate(wanted) if n not in mates]


def week_of(day: date) -> _Week:
    """Return year and number of a date's week, Monday first."""
    return day.isocalendar()[:2]


def _minute(instant: datetime) -> datetime:
    return instant.replace(second=0, microsecond=0)


def _day_of(row: BookingRow, zone: ZoneInfo) -> date:
    return row.starts_at.astimezone(zone).date()


def _place_of(row: BookingRow) -> tuple[int, int, datetime, datetime]:
    return row.squad_id or 0, row.area_id, row.starts_at, row.ends_at
