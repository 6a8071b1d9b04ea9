"""Bookings put into their table, and lifted, past the session's own book-keeping.

It finds out anew with every flush which of many objects changed, and in which order they are to be
written; for the one row that comes with every change that takes longer than all that the database
does. Journal, count and rights hear of it here as they do of what a session finds by itself.
"""

from __future__ import annotations

from dataclasses import fields
from functools import cache
from typing import TYPE_CHECKING, Any, cast

from sqlalchemy import bindparam, inspect, select, update
from sqlalchemy.orm import make_transient_to_detached
from sqlalchemy.orm.attributes import set_committed_value

from clubplanner.store.journal.journal import (
    AT_ONCE,
    note_before,
    note_last_booking,
    note_new_booking,
)
from clubplanner.store.journal.outbox import NewBooking
from clubplanner.store.putting import put_row, put_rows
from clubplanner.store.rights import scope_of
from clubplanner.store.stand import touch_stand
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.squad_tables import SquadRow
from clubplanner.store.tables.turn_tables import earlier_name

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from sqlalchemy import Table
    from sqlalchemy.orm import Session

_OWN = "own_number"
_TOLD = tuple(one.name for one in fields(NewBooking) if one.name not in {"id", "holder"})


def put_booking(session: Session, values: Mapping[str, Any]) -> BookingRow:
    """Insert a booking at once.

    Args:
        session: The open write session.
        values: By the row's attributes, all of them but the number.

    Raises:
        IntegrityError: If the guard refuses it; the session is then of no further use.
    """
    session.flush()
    if scope_of(session) is not None:  # whose it is, is looked at as the session writes it
        row = BookingRow(**values)
        session.add(row)
        session.flush()
        return row
    stored = {column: values[name] for name, column in _columns().items()}
    row = BookingRow(id=put_row(session.connection(), BookingRow, stored), **values)
    make_transient_to_detached(row)
    session.add(row)
    note_new_booking(session, row)
    touch_stand(session)
    return row


def put_bookings(session: Session, values: Sequence[Mapping[str, Any]]) -> list[int]:
    """Insert many bookings at once, in their order, and return their numbers.

    Args:
        session: The open write session.
        values: As for one.

    Raises:
        IntegrityError: If the guard refuses one; the session is then of no further use.
    """
    session.flush()
    if scope_of(session) is not None:
        rows = [BookingRow(**one) for one in values]
        session.add_all(rows)
        session.flush()
        return [row.id for row in rows]
    columns = _columns().items()
    stored = [{column: one[name] for name, column in columns} for one in values]
    numbers = put_rows(session.connection(), BookingRow, stored)
    of_now = {row.id: row.name for row in session.execute(select(SquadRow.id, SquadRow.name))}
    for number, one in zip(numbers, values, strict=True):
        squad, holder = one["squad_id"], one["written_holder"]
        if squad is not None:
            holder = earlier_name(session, squad, one["starts_at"]) or of_now[squad]
        told = {name: one[name] for name in _TOLD}
        note_new_booking(session, NewBooking(id=number, holder=holder, **told))
    touch_stand(session)
    return numbers


def lift_at_once(session: Session, rows: Sequence[BookingRow]) -> None:
    """Withdraw bookings that the caller puts elsewhere, or leaves withdrawn, in this transaction.

    Args:
        session: The open write session.
        rows: As they stand in the database.
    """
    session.flush()
    if scope_of(session) is not None:
        for row in rows:
            row.is_withdrawn = True
        session.flush()
        return
    numbers = [row.id for row in rows]
    note_before(session, numbers)
    table = cast("Table", BookingRow.__table__)
    for start in range(0, len(numbers), AT_ONCE):
        some = table.c.id.in_(numbers[start : start + AT_ONCE])
        session.connection().execute(update(table).where(some).values(is_withdrawn=True))
    for row in rows:
        set_committed_value(row, "is_withdrawn", True)
    touch_stand(session)


def write_at_once(
    session: Session, changes: Sequence[tuple[BookingRow, Mapping[str, Any]]]
) -> None:
    """Write over bookings that `lift_at_once` lifted before, in this transaction.

    Args:
        session: The open write session.
        changes: Each booking with what it becomes, by the row's attributes; the same for all.

    Raises:
        IntegrityError: If the guard refuses one; the session is then of no further use.
    """
    session.flush()
    if scope_of(session) is not None:
        for row, values in changes:
            for name, value in values.items():
                setattr(row, name, value)
        session.flush()
        return
    columns, table = _columns(), cast("Table", BookingRow.__table__)
    stored = [
        {_OWN: row.id} | {columns[name]: value for name, value in values.items()}
        for row, values in changes
    ]
    if stored:
        of = update(table).where(table.c.id == bindparam(_OWN))
        session.connection().execute(of, stored)
    for row, values in changes:
        for name, value in values.items():
            set_committed_value(row, name, value)


def claim_for_share_out(session: Session, numbers: Sequence[int], share_out: int) -> None:
    """Let bookings that stay as they are be those of a share-out from now on.

    Nothing that the journal keeps of them changes, so they are not read before.

    Args:
        session: The open write session.
        numbers: Theirs.
        share_out: Its number.
    """
    session.flush()
    if scope_of(session) is not None:
        for number in numbers:
            session.get_one(BookingRow, number).share_out_id = share_out
        session.flush()
        return
    table = cast("Table", BookingRow.__table__)
    for start in range(0, len(numbers), AT_ONCE):
        some = table.c.id.in_(numbers[start : start + AT_ONCE])
        session.connection().execute(update(table).where(some).values(share_out_id=share_out))
    if numbers:
        touch_stand(session)


def put_booking_at_end(session: Session, values: Mapping[str, Any]) -> BookingRow:
    """Insert a booking as the last of its transaction, with what the journal keeps of it.

    A server has one message less to answer, and the session one object less to look after. Nothing
    that the transaction asks the records before its end sees the booking.

    Args:
        session: The open write session.
        values: By the row's attributes, all of them but the number.

    Returns:
        The booking; it has its number when the transaction has ended, where it is the only one.

    Raises:
        IntegrityError: If the guard refuses it, at the end or at once.
    """
    if scope_of(session) is not None:
        return put_booking(session, values)
    row = BookingRow(**values)
    session.enable_relationship_loading(row)
    note_last_booking(session, row)
    touch_stand(session)
    return row


@cache
def _columns() -> dict[str, str]:
    """Return the columns by the attributes, the number left out."""
    attributes = inspect(BookingRow).column_attrs
    return {one.key: one.columns[0].name for one in attributes if one.key != "id"}
