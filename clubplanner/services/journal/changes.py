"""The list of changes, and taking one back."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import select
from sqlalchemy.orm import selectinload

from clubplanner.domain.booked.journal import (
    BookingState,
    Taking,
    changed_since,
    plan_undo,
)
from clubplanner.domain.club.told.notices import is_noticeable
from clubplanner.domain.times.times import TimeRange, short_day
from clubplanner.errors import MissingError, RefusedError
from clubplanner.language import _
from clubplanner.services.journal.change_words import (
    describe_state,
    entry_words,
    hold_places,
    summarise_change,
)
from clubplanner.services.journal.entries import EntriesRead, read_entries
from clubplanner.services.journal.own_changes import Asker, why_not_theirs
from clubplanner.services.journal.own_view import own_changes, own_records_of, why_not_own
from clubplanner.services.journal.record_undo import (
    can_restore,
    present_states,
    put_records_back,
    record_obstacles,
)
from clubplanner.services.journal.record_words import record_line
from clubplanner.services.proposals.new_names import follow_in_proposals, load_spoken
from clubplanner.services.rows.bookings.booking_rows import clashes_from_rows, flush, note_change
from clubplanner.services.rows.journal.journal_rows import changed_from_row, state_from_row
from clubplanner.services.rows.snapshot import WITH_NAMES, load_zone
from clubplanner.services.setup.calendars_follow import count_renamed_squads, squad_names
from clubplanner.store.chunks import chunks_of
from clubplanner.store.journal.journal import describe_change
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.ground_tables import AreaRow
from clubplanner.store.tables.season_tables import ChangedBookingRow, ChangeRow

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from datetime import datetime
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.store.engine import Store
    from clubplanner.store.journal.records import Key, State

USUAL_COUNT = 30
MOST_LINES = 6
"""Bookings of one change that are written out; the rest is counted."""
MOST_OBSTACLES = 4


@dataclass(frozen=True, slots=True)
class ChangeLine:
    """A change as the list shows it.

    Attributes:
        number: The change's number.
        at: When, UTC.
        by: Who.
        words: What it was about.
        lines: Booking by booking, the first few.
        more: How many bookings are not written out.
        undone_by: Number of the change that took it back; None.
        obstacles: What keeps it from being taken back; empty when it can be.
    """

    number: int
    at: datetime
    by: str
    words: str
    lines: tuple[str, ...]
    more: int
    undone_by: int | None
    obstacles: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Undone:
    """What taking a change back did.

    Attributes:
        number: The number of the new change.
        bookings: How many bookings it touched.
        words: The same for a person.
    """

    number: int
    bookings: int
    words: str


def list_changes(
    store: Store, now: datetime, *, count: int = USUAL_COUNT, before: int | None = None
) -> tuple[ChangeLine, ...]:
    """Return the last changes, newest first, each with what keeps it from being taken back.

    Args:
        store: The database.
        now: The present instant.
        count: How many.
        before: Only changes with a smaller number; None for the newest.
    """
    with store.read() as session:
        query = select(ChangeRow).where(*own_changes(session))
        query = query.order_by(ChangeRow.id.desc()).limit(count)
        if before is not None:
            query = query.where(ChangeRow.id < before)
        rows = session.scalars(query.options(selectinload(ChangeRow.records))).all()
        zone = load_zone(session)
        numbers = [row.id for row in rows]
        undone = _undone_by(session, numbers)
        states = present_states(session, [entry for row in rows for entry in row.records])
        parts = read_entries(session, numbers, MOST_LINES, now)
        with hold_places(session, (entry for part in parts.values() for entry in part.first)):
            return tuple(
                _line(session, row, parts[row.id], undone.get(row.id), states, zone, now)
                for row in rows
            )


def can_take_back(store: Store, number: int, now: datetime, asker: Asker | None = None) -> bool:
    """Tell whether nothing stands in the way of somebody's taking a change back."""
    with store.read() as session:
        row = session.get(ChangeRow, number)
        if row is None or why_not_theirs(session, row, asker, now):
            return False
        takings = plan_undo([changed_from_row(entry) for entry in row.bookings], now)
        undone = _undone_by(session, [number]).get(number)
        states = present_states(session, row.records)
        has_bookings = bool(row.bookings)
        return not _obstacles(
            session, row, takings, undone, states, load_zone(session), has_bookings=has_bookings
        )


def undo_change(store: Store, number: int, now: datetime, asker: Asker | None = None) -> Undone:
    """Take a change back: all that is still to come of it, or nothing.

    Bookings that the change added are withdrawn, others become what they were; calendars hear of
    each. Taking back what took something back does it again. The rule book is not asked: this puts
    back what stood, with the reason why it stood against a rule, if any.

    Args:
        store: The database.
        number: The change's number.
        now: The present instant.
        asker: Who takes it back, if that is to be asked; None for whoever runs the program.

    Raises:
        ClashError: If somebody took the ground at this very moment.
        MissingError: If there is no such change.
        RefusedError: Naming what stands in the way, or that it is not theirs to take back.
    """
    with store.write() as session:
        row = session.get(ChangeRow, number)
        if row is None:
            raise MissingError(
                _("There is no change %(number)s; look at the list of changes.", number=number)
            )
        not_theirs = why_not_theirs(session, row, asker, now)
        if not_theirs:
            raise RefusedError(not_theirs)
        zone = load_zone(session)
        takings = plan_undo([changed_from_row(entry) for entry in row.bookings], now)
        undone = _undone_by(session, [number]).get(number)
        states = present_states(session, row.records)
        obstacles = _obstacles(
            session, row, takings, undone, states, zone, has_bookings=bool(row.bookings)
        )
        if obstacles:
            raise RefusedError(
                _(
                    "Change %(number)s cannot be taken back: %(obstacles)s",
                    number=number,
                    obstacles=" ".join(obstacles),
                )
            )
        words = row.words or summarise_change(row, row.records)
        describe_change(session, _("Taken back: %(words)s", words=words), undoes=number)
        _put_back(session, takings, now)
        names, spoken = squad_names(session), load_spoken(session)
        put_records_back(session, row.records, now)
        count_renamed_squads(session, names, now)
        follow_in_proposals(session, spoken)
        session.commit()
        latest = session.scalars(select(ChangeRow.id).order_by(ChangeRow.id.desc())).first()
    return Undone(latest or 0, len(takings), _("Taken back: %(words)s.", words=words))


def _line(
    session: Session,
    row: ChangeRow,
    entries: EntriesRead,
    undone_by: int | None,
    states: Mapping[Key, State],
    zone: ZoneInfo,
    now: datetime,
) -> ChangeLine:
    records = own_records_of(session, row)
    not_own = why_not_own(session, row)
    lines = [record_line(entry) for entry in records[:MOST_LINES]]
    first = entries.first[: MOST_LINES - len(lines)]
    lines += [entry_words(session, entry, zone) for entry in first]
    return ChangeLine(
        number=row.id,
        at=row.at,
        by=row.by,
        words=row.words or summarise_change(row, records),
        lines=tuple(lines),
        more=entries.count + len(records) - len(lines),
        undone_by=undone_by,
        obstacles=(not_own,)
        if not_own
        else _obstacles(
            session,
            row,
            plan_undo(entries.ahead, now),
            undone_by,
            states,
            zone,
            has_bookings=entries.count > 0,
        ),
    )


def _undone_by(session: Session, numbers: Sequence[int]) -> dict[int, int]:
    """Return, for changes that are taken back at present, by which change."""
    rows = session.execute(
        select(ChangeRow.undoes_id, ChangeRow.id)
        .where(ChangeRow.undoes_id.is_not(None), ChangeRow.id > min(numbers, default=0))
        .order_by(ChangeRow.id)
    ).all()
    latest = {undoes: number for undoes, number in rows if undoes is not None}

    def stands(number: int) -> bool:
        return number not in latest or not stands(latest[number])

    return {n: latest[n] for n in numbers if n in latest and stands(latest[n])}


def _obstacles(
    session: Session,
    row: ChangeRow,
    takings: Sequence[Taking],
    undone_by: int | None,
    states: Mapping[Key, State],
    zone: ZoneInfo,
    *,
    has_bookings: bool,
) -> tuple[str, ...]:
    if undone_by is not None:
        return (_("It was taken back by change %(undone_by)s.", undone_by=undone_by),)
    if not has_bookings and not row.records:
        return (_("What was erased cannot be put back."),)
    if not takings and not can_restore(row.records):
        return (
            _("All of it is over.")
            if has_bookings
            else _("Change it on its own page, or by its file."),
        )
    lines = record_obstacles(session, row.records, states)
    rows = _rows_of(session, takings)
    current = {number: state_from_row(one) for number, one in rows.items()}
    stale = changed_since(takings, current)
    if stale:
        lines += [_changed_words(session, taking, current, zone) for taking in stale]
    else:
        lines += _held_words(session, takings, zone)
    return tuple(lines[:MOST_OBSTACLES]) + (
        (_("And %(most_obstacles)s more.", most_obstacles=len(lines) - MOST_OBSTACLES),)
        if len(lines) > MOST_OBSTACLES
        else ()
    )


def _changed_words(
    session: Session, taking: Taking, current: dict[int, BookingState], zone: ZoneInfo
) -> str:
    by = session.scalars(
        select(ChangedBookingRow.change_id)
        .where(ChangedBookingRow.booking_id == taking.number)
        .order_by(ChangedBookingRow.id.desc())
    ).first()
    state = current.get(taking.number)
    if state is None:
        return _("%(holder)s's booking is no longer in the records.", holder=taking.expected.holder)
    return _(
        "%(holder)s, %(describe_state)s: changed again since, by change %(by)s; take "
        "that back first.",
        holder=state.holder,
        describe_state=describe_state(session, state, zone),
        by=by,
    )


def _rows_of(session: Session, takings: Sequence[Taking]) -> dict[int, BookingRow]:
    numbers = [taking.number for taking in takings]
    rows: dict[int, BookingRow] = {}
    for chunk in chunks_of(numbers):
        found = session.scalars(select(BookingRow).where(BookingRow.id.in_(chunk)))
        rows.update({row.id: row for row in found})
    return rows


def _held_words(session: Session, takings: Sequence[Taking], zone: ZoneInfo) -> list[str]:
    """Name who holds the ground that would be needed again."""
    wanted = [taking.target for taking in takings if not taking.target.is_withdrawn]
    if not wanted:
        return []
    touched = {taking.number for taking in takings}
    during = TimeRange(min(s.starts_at for s in wanted), max(s.ends_at for s in wanted))
    by_pitch: dict[int, list[BookingRow]] = defaultdict(list)
    for row in _live_rows(session, during):
        if row.id not in touched:
            by_pitch[row.pitch_id].append(row)
    lines = []
    for state in wanted:
        area = session.get(AreaRow, state.area_id)
        for row in by_pitch[state.pitch_id]:
            is_meanwhile = row.starts_at < state.ends_at and state.starts_at < row.ends_at
            if area is not None and row.cells & area.cells and is_meanwhile:
                (clash,) = clashes_from_rows(session, [row])
                day = short_day(row.starts_at.astimezone(zone).date())
                lines.append(
                    _(
                        "%(sentence)s on %(day)s, where %(holder)s would go back to.",
                        sentence=clash.sentence,
                        day=day,
                        holder=state.holder,
                    )
                )
    return lines


def _live_rows(session: Session, during: TimeRange) -> Iterable[BookingRow]:
    return session.scalars(
        select(BookingRow)
        .where(
            BookingRow.is_withdrawn.is_(False),
            *BookingRow.running_between(during.starts_at, during.ends_at),
        )
        .options(*WITH_NAMES)
    )


def _put_back(session: Session, takings: Sequence[Taking], now: datetime) -> None:
    rows = _rows_of(session, takings)
    for taking in takings:  # lifted first, so that squads may swap back
        rows[taking.number].is_withdrawn = True
    session.flush()
    for taking in takings:
        row, target = rows[taking.number], taking.target
        area = session.get(AreaRow, target.area_id)
        if area is None:
            raise RefusedError(_("Its ground is no longer there; book it again by hand."))
        row.pitch_id, row.area_id, row.cells = area.pitch_id, area.id, area.cells
        row.starts_at, row.ends_at = target.starts_at, target.ends_at
        row.purpose, row.squad_id, row.holder = target.purpose, target.squad_id, target.holder
        row.note, row.is_fixed, row.overruled = target.note, target.is_fixed, target.overruled
        row.is_withdrawn = target.is_withdrawn
        if is_noticeable(taking.expected, target):
            note_change(row, now)
    flush(session)
