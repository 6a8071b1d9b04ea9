"""Publishing a proposal: its differences against what stands become bookings, or nothing does."""

from __future__ import annotations

import uuid
from collections import defaultdict
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any

from sqlalchemy import select

from clubplanner.domain.bookings import Purpose
from clubplanner.domain.seasons import training_dates
from clubplanner.domain.times import TimeRange, range_from_wall
from clubplanner.errors import ClashError, MissingError, RefusedError
from clubplanner.services.booking_rows import clashes_from_rows, flush, note_change
from clubplanner.services.share_outs import load_share_out, stretch_range
from clubplanner.services.share_problem import ground_key
from clubplanner.services.snapshot import WITH_NAMES, load_breaks, load_zone, stretch_from_row
from clubplanner.store.journal import describe_change
from clubplanner.store.tables import AreaRow, BookingRow, PitchRow, SquadRow

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.store.engine import Store


@dataclass(frozen=True, slots=True)
class Published:
    """What publishing changed, in bookings.

    Attributes:
        added: New ones.
        moved: Ones that keep their place in people's calendars but change time or ground.
        kept: Ones that stay as they are.
        withdrawn: Ones given back.
    """

    added: int
    moved: int
    kept: int
    withdrawn: int

    @property
    def sentence(self) -> str:
        """The same in words."""
        return (
            f"{self.added} bookings added, {self.moved} moved, {self.kept} kept, "
            f"{self.withdrawn} withdrawn."
        )


@dataclass(frozen=True, slots=True)
class _Wanted:
    squad: SquadRow
    area: AreaRow
    during: TimeRange
    week: tuple[int, int]

    @property
    def place(self) -> tuple[int, int, datetime, datetime]:
        return self.squad.id, self.area.id, self.during.starts_at, self.during.ends_at


def publish_share_out(store: Store, number: int, now: datetime) -> Published:
    """Turn a proposal into dated bookings.

    Only sessions that are still to come are touched. Training that an earlier share-out booked is
    kept where it is the same, moved within its week where it can be, and withdrawn otherwise;
    everything else stands.

    Args:
        store: The database.
        number: The proposal's number.
        now: The present instant.

    Raises:
        ClashError: If the ground has been taken since the proposal was made; nothing is changed.
        MissingError: If there is no such proposal, or its squads or ground are gone.
        RefusedError: If it has been published already.
    """
    with store.write() as session:
        row = load_share_out(session, number)
        if row.published_at is not None:
            raise RefusedError("This share-out has been published already; run a new one.")
        wanted = _dated(session, row.outcome["placements"], number, now)
        standing = _earlier_training(session, number, now)
        published = _apply(session, wanted, standing, now)
        describe_change(session, f"published share-out {number}, {row.stretch.name}")
        row.published_at = now
        return published


def _dated(
    session: Session, placements: Sequence[dict[str, Any]], number: int, now: datetime
) -> list[_Wanted]:
    """Return every dated session of the weekly pattern that is still to come."""
    stretch = stretch_from_row(load_share_out(session, number).stretch)
    dates = training_dates(stretch, load_breaks(session))
    zone = load_zone(session)
    squads = {squad.key: squad for squad in session.scalars(select(SquadRow))}
    areas = {
        ground_key(pitch.key, area.key): area
        for area, pitch in session.execute(
            select(AreaRow, PitchRow).join(PitchRow, AreaRow.pitch_id == PitchRow.id)
        )
    }
    wanted = []
    for place in placements:
        squad, area = squads.get(place["squad"]), areas.get(place["ground"])
        if squad is None or area is None:
            gone = place["squad_name"] if squad is None else place["ground_name"]
            raise MissingError(f"{gone} is no longer there; run the share-out again.")
        lost = {date.fromisoformat(text) for text in place["lost_dates"]}
        for day in dates:
            if day.weekday() != place["weekday"] or day in lost:
                continue
            during = range_from_wall(day, place["start_min"], place["end_min"], zone)
            if during.starts_at > now:
                wanted.append(_Wanted(squad, area, during, day.isocalendar()[:2]))
    return sorted(wanted, key=lambda w: (w.during.starts_at, w.squad.id))


def _earlier_training(session: Session, number: int, now: datetime) -> list[BookingRow]:
    """Return the training to come in this stretch that a share-out booked before."""
    stretch = stretch_from_row(load_share_out(session, number).stretch)
    during = stretch_range(stretch, load_zone(session))
    rows = session.scalars(
        select(BookingRow)
        .where(
            BookingRow.purpose == Purpose.TRAINING,
            BookingRow.is_fixed.is_(False),
            BookingRow.is_withdrawn.is_(False),
            BookingRow.squad_id.is_not(None),
            BookingRow.starts_at >= during.starts_at,
            BookingRow.starts_at > now,
            BookingRow.starts_at < during.ends_at,
        )
        .order_by(BookingRow.starts_at)
    )
    return list(rows)


def _apply(
    session: Session, wanted: Sequence[_Wanted], standing: Sequence[BookingRow], now: datetime
) -> Published:
    places = {w.place: w for w in wanted}
    kept = [row for row in standing if places.pop(_place_of(row), None) is not None]
    kept_ids = {row.id for row in kept}
    loose = [row for row in standing if row.id not in kept_ids]
    for row in loose:  # lifted first, so that squads may swap ground
        row.is_withdrawn = True
    session.flush()
    moves, rest = _pair_by_week(session, loose, places.values())
    _refuse_taken(session, [*rest, *(w for _, w in moves)])
    moved_ids = set()
    for row, target in moves:
        row.pitch_id, row.area_id, row.cells = (
            target.area.pitch_id,
            target.area.id,
            target.area.cells,
        )
        row.starts_at, row.ends_at = target.during.starts_at, target.during.ends_at
        row.is_withdrawn = False
        note_change(row, now)
        moved_ids.add(row.id)
    given_back = [row for row in loose if row.id not in moved_ids]
    for row in given_back:
        note_change(row, now)
    flush(session)
    session.add_all(_new_row(w, now) for w in rest)
    flush(session)
    return Published(len(rest), len(moves), len(kept), len(given_back))


def _pair_by_week(
    session: Session, loose: Sequence[BookingRow], wanted: Iterable[_Wanted]
) -> tuple[list[tuple[BookingRow, _Wanted]], list[_Wanted]]:
    """Pair a squad's lifted bookings with its new ones of the same week, in order of time."""
    zone = load_zone(session)
    free: dict[tuple[int | None, tuple[int, int]], list[BookingRow]] = defaultdict(list)
    for row in loose:
        week = row.starts_at.astimezone(zone).date().isocalendar()[:2]
        free[row.squad_id, week].append(row)
    moves, rest = [], []
    for target in wanted:
        candidates = free[target.squad.id, target.week]
        if candidates:
            moves.append((candidates.pop(0), target))
        else:
            rest.append(target)
    return moves, rest


def _refuse_taken(session: Session, wanted: Sequence[_Wanted]) -> None:
    """Raise ClashError, naming the holders, if something that stands is in the way."""
    if not wanted:
        return
    first = min(w.during.starts_at for w in wanted)
    last = max(w.during.ends_at for w in wanted)
    rows = session.scalars(
        select(BookingRow)
        .where(
            BookingRow.is_withdrawn.is_(False),
            BookingRow.starts_at < last,
            BookingRow.ends_at > first,
        )
        .options(*WITH_NAMES)
    )
    by_pitch: dict[int, list[BookingRow]] = defaultdict(list)
    for row in rows:
        by_pitch[row.pitch_id].append(row)
    taken = [
        row
        for w in wanted
        for row in by_pitch[w.area.pitch_id]
        if row.cells & w.area.cells
        and row.starts_at < w.during.ends_at
        and w.during.starts_at < row.ends_at
    ]
    if taken:
        advice = "Nothing was published; run the share-out again, it then goes round them."
        raise ClashError(clashes_from_rows(session, taken[:3]), advice=advice)


def _new_row(wanted: _Wanted, now: datetime) -> BookingRow:
    return BookingRow(
        uid=f"{uuid.uuid4()}@clubplanner",
        pitch_id=wanted.area.pitch_id,
        area_id=wanted.area.id,
        cells=wanted.area.cells,
        starts_at=wanted.during.starts_at,
        ends_at=wanted.during.ends_at,
        purpose=Purpose.TRAINING,
        squad_id=wanted.squad.id,
        holder=wanted.squad.name,
        note="",
        is_withdrawn=False,
        is_fixed=False,
        sequence=0,
        created_at=now,
        changed_at=now,
    )


def _place_of(row: BookingRow) -> tuple[int, int, datetime, datetime]:
    return row.squad_id or 0, row.area_id, row.starts_at, row.ends_at
