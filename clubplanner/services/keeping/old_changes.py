"""Changes that are old enough to go from the journal: nothing of them could be taken back.

The newest one stays, so that its number is not given again: whoever follows the journal knows it. A
change stays as long as a booking of it, as it was or became, is not over, a closure of it is not,
or a later change that took it back is still there.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import String, and_, cast, exists, func, or_, select
from sqlalchemy.orm import aliased

from clubplanner.store.tables.season_tables import (
    ChangedBookingRow,
    ChangedRecordRow,
    ChangeRow,
    ClosureRow,
)

if TYPE_CHECKING:
    from datetime import datetime

    from sqlalchemy import ColumnElement, Connection

CLOSURE = "closure"
LOOKED_AT = 200
"""Changes that are looked at together, oldest first."""


def find_old_entries(
    connection: Connection, limit: datetime, now: datetime, most: int
) -> list[int]:
    """Return the numbers of bookings of old changes, up to so many."""
    changes = _old_changes(connection, limit, now)
    entries = select(ChangedBookingRow.id).where(ChangedBookingRow.change_id.in_(changes))
    return list(connection.execute(entries.order_by(ChangedBookingRow.id).limit(most)).scalars())


def find_old_changes(
    connection: Connection, limit: datetime, now: datetime, most: int
) -> list[int]:
    """Return the numbers of old changes whose bookings have gone, up to so many."""
    changes = _old_changes(connection, limit, now)
    left = select(ChangedBookingRow.change_id).where(ChangedBookingRow.change_id.in_(changes))
    kept = set(connection.execute(left).scalars())
    return [number for number in changes if number not in kept][:most]


def _old_changes(connection: Connection, limit: datetime, now: datetime) -> list[int]:
    """Return the oldest changes that can go, with those that took them back."""
    chosen = (
        select(ChangeRow.id, ChangeRow.undoes_id)
        .where(
            ChangeRow.at < limit,
            ChangeRow.id < select(func.max(ChangeRow.id)).scalar_subquery(),
            *_is_over(now),
            ~_is_held(limit),
        )
        .order_by(ChangeRow.at, ChangeRow.id)
        .limit(LOOKED_AT)
    )
    rows = connection.execute(chosen).all()
    numbers = {row.id for row in rows}
    while numbers:
        later = select(ChangeRow.id, ChangeRow.undoes_id).where(ChangeRow.undoes_id.in_(numbers))
        held = {row.undoes_id for row in connection.execute(later) if row.id not in numbers}
        if not held:
            break
        numbers -= held
    return sorted(numbers)


def _is_held(limit: datetime) -> ColumnElement[bool]:
    """Tell whether a change that stays took it back."""
    later = aliased(ChangeRow)
    return exists().where(and_(later.undoes_id == ChangeRow.id, later.at >= limit))


def _is_over(now: datetime) -> tuple[ColumnElement[bool], ...]:
    epoch = int(now.timestamp())
    booking_left = and_(
        ChangedBookingRow.change_id == ChangeRow.id,
        or_(
            ChangedBookingRow.after["ends_at"].as_integer() > epoch,
            ChangedBookingRow.before["ends_at"].as_integer() > epoch,
        ),
    )
    closure_left = and_(
        ChangedRecordRow.change_id == ChangeRow.id,
        ChangedRecordRow.sort == CLOSURE,
        ChangedRecordRow.number == cast(ClosureRow.id, String),
        ClosureRow.ends_at > now,
    )
    return ~exists().where(booking_left), ~exists().where(closure_left)
