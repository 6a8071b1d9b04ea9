"""Bookings that are told of in other words while they stay where they are: calendars hear of it.

A calendar takes a change only when the count rises (RFC 5546, section 2.1.5), and what a closure
asks for, or why it is there, stands in the entry of every session that it touches. Like the journal
this listens to the session: whoever writes a closure, by whatever code, has its sessions counted in
the same transaction.
"""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

from sqlalchemy import event, inspect, select

from clubplanner.domain.booked.closures import Condition
from clubplanner.domain.booked.waiting import SwapState
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.ground_tables import AreaRow
from clubplanner.store.tables.season_tables import (
    ChangedBookingRow,
    ClosureDayRow,
    ClosureRow,
    SwapOfferRow,
)

if TYPE_CHECKING:
    from collections.abc import Collection

    from sqlalchemy import ColumnElement
    from sqlalchemy.orm import Session

TOLD_OF = ("area_id", "starts_at", "ends_at", "condition", "words", "reason", "lifted_at")
"""What entries say of a closure or follows from."""


def count_told_otherwise(session: Session, rows: Collection[BookingRow], now: datetime) -> int:
    """Count a change of bookings that are only told of in other words now.

    Offers to change places still stand: who and where and when are the same.

    Returns:
        How many bookings.
    """
    counts = {row.id: row.sequence for row in rows}
    for row in rows:
        row.sequence += 1
        row.changed_at = now
    for offer in session.scalars(
        select(SwapOfferRow).where(SwapOfferRow.state == SwapState.OFFERED.value)
    ):
        if counts.get(offer.own_id) == offer.own_sequence:
            offer.own_sequence += 1
        if counts.get(offer.other_id) == offer.other_sequence:
            offer.other_sequence += 1
    return len(counts)


def keep_counting(sessions: type[Session]) -> None:
    """Let write sessions of a class count the sessions of every closure that they change."""
    event.listen(sessions, "before_flush", _note_closures)


def _note_closures(session: Session, *_: object) -> None:
    with session.no_autoflush:
        for row in (*session.new, *session.dirty):
            if not isinstance(row, ClosureRow):
                continue
            is_new = row in session.new
            changed = [name for name in TOLD_OF if inspect(row).attrs[name].history.has_changes()]
            if is_new or changed:
                at = row.created_at if is_new else row.lifted_at or datetime.now(UTC)
                count_told_otherwise(session, _touched(session, row, is_new=is_new), at)


def _touched(session: Session, row: ClosureRow, *, is_new: bool) -> list[BookingRow]:
    """Return the sessions whose entries speak of a closure."""
    if row.condition == Condition.CLOSED.value:
        return [] if is_new else _bookings(session, _displaced(row))
    area = session.get_one(AreaRow, row.area_id)
    meanwhile = _bookings(
        session,
        BookingRow.pitch_id == area.pitch_id,
        BookingRow.cells.op("&")(area.cells) != 0,
        BookingRow.starts_at < max(_values(row, "ends_at")),
        BookingRow.ends_at > min(_values(row, "starts_at")),
        BookingRow.is_withdrawn.is_(False),
    )
    return [one for one in meanwhile if one.squad_id is not None]


def _displaced(row: ClosureRow) -> ColumnElement[bool]:
    """Which bookings were changed by the change that closed the ground."""
    held = select(ClosureDayRow.booking_id).where(ClosureDayRow.closure_id == row.id)
    changes = select(ChangedBookingRow.change_id).where(
        ChangedBookingRow.booking_id.in_(held), ChangedBookingRow.area_id.is_(None)
    )
    numbers = select(ChangedBookingRow.booking_id).where(
        ChangedBookingRow.change_id.in_(changes), ChangedBookingRow.area_id.is_not(None)
    )
    return BookingRow.id.in_(numbers)


def _bookings(session: Session, *which: ColumnElement[bool]) -> list[BookingRow]:
    return list(session.scalars(select(BookingRow).where(*which)))


def _values(row: ClosureRow, name: str) -> list[datetime]:
    """Return an instant as it was and as it is."""
    history = inspect(row).attrs[name].history
    return [*(value for value in history.deleted or () if value is not None), getattr(row, name)]
