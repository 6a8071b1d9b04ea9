"""Notes for the squads, written by the journal in the transaction of the change itself.

No service has to think of it, and none can forget it: what the journal notes of a booking and a
squad would notice is in the outbox once the change is, and not before.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache
from typing import TYPE_CHECKING, Any, cast

from sqlalchemy import bindparam, insert, inspect, select, true

from clubplanner.domain.club.told.notices import is_noticeable, is_soon, squads_told
from clubplanner.store import postgres
from clubplanner.store.direct import prepare, run
from clubplanner.store.journal.states import state_from_stored
from clubplanner.store.putting import put_row, put_rows
from clubplanner.store.stand import WRITES_TO
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.notice_tables import NoticeRow
from clubplanner.store.tables.season_tables import ChangedBookingRow, ChangedRecordRow, ChangeRow

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from sqlalchemy import CTE, Connection, Table
    from sqlalchemy.sql.dml import ReturningInsert

    from clubplanner.domain.booked.bookings import Purpose
    from clubplanner.domain.booked.journal import BookingState
    from clubplanner.store.tables.base import Base


@dataclass(frozen=True, slots=True)
class NewBooking:
    """What the journal reads of a booking that was put into its table with many others.

    Attributes are those of `BookingRow`; an object of that would take ten times as long to make.
    """

    id: int
    pitch_id: int
    area_id: int
    starts_at: datetime
    ends_at: datetime
    purpose: Purpose
    squad_id: int | None
    holder: str
    note: str
    is_withdrawn: bool
    is_fixed: bool
    overruled: str
    sequence: int
    changed_at: datetime


@dataclass(frozen=True, slots=True)
class Entry:
    """One booking of a change, as the journal is about to keep it.

    Attributes:
        booking: As it is, with its number; without one it is still to be inserted.
        before: What the journal keeps of it as it was; None for a new one.
        after: What it keeps of it as it is.
    """

    booking: BookingRow | NewBooking
    before: dict[str, Any] | None
    after: dict[str, Any]

    def as_stored(self, change: int | None) -> dict[str, Any]:
        """Return the values of its row in a change."""
        return {
            "change_id": change,
            "booking_id": self.booking.id,
            "before": self.before,
            "after": self.after,
            "area_id": None if self.before is None else self.before["area_id"],
        }


def notices_of(entry: Entry, number: int, *, is_wanted: bool = False) -> Iterator[dict[str, Any]]:
    """Yield what squads have to hear of one entry of the journal: values of `NoticeRow`.

    Args:
        entry: What was and what is.
        number: The entry's own.
        is_wanted: Whether it goes by mail however far ahead it is.
    """
    booking = entry.booking
    if booking.squad_id is None and (entry.before or {}).get("squad_id") is None:
        return
    before = None if entry.before is None else state_from_stored(entry.before)
    after = state_from_stored(entry.after)
    if not is_noticeable(before, after):
        return
    for squad_id in squads_told(before, after):
        yield {
            "entry_id": number,
            "squad_id": squad_id,
            "sequence": booking.sequence,
            "changed_at": booking.changed_at,
            "is_wanted": is_wanted or is_soon(before, after, booking.changed_at),
            "told_at": None,
        }


def put_change(
    connection: Connection,
    change: Mapping[str, Any],
    entries: Sequence[Entry],
    records: Sequence[Mapping[str, Any]] = (),
    *,
    is_wanted: bool = False,
) -> int:
    """Write a change with its entries, and the notes for the squads that have to hear of them.

    Args:
        connection: In the transaction of the change itself.
        change: Values of `ChangeRow`.
        entries: What it did to bookings.
        records: What it did to other records: values of `ChangedRecordRow`.
        is_wanted: Whether all of it goes by mail however far ahead it is.

    Returns:
        The number of the change.
    """
    if len(entries) == 1 and connection.dialect.name == postgres.NAME:
        number, *kept = put_together(connection, change, entries[0])
    else:
        for entry in entries:
            if isinstance(entry.booking, BookingRow) and entry.booking.id is None:
                entry.booking.id = put_row(connection, BookingRow, _stored(entry.booking))
        number = put_row(connection, ChangeRow, change)
        kept = put_rows(connection, ChangedBookingRow, [one.as_stored(number) for one in entries])
    notices = [
        notice
        for entry, of in zip(entries, kept, strict=True)
        for notice in notices_of(entry, of, is_wanted=is_wanted)
    ]
    put_rows(connection, NoticeRow, notices)
    put_rows(connection, ChangedRecordRow, [{"change_id": number, **one} for one in records])
    return number


def put_together(
    connection: Connection, change: Mapping[str, Any], entry: Entry
) -> tuple[int, int]:
    """Write a change with its only entry in one message to the server; SQLite knows no such.

    A booking that is still to be inserted goes with them, and gets its number.

    Returns:
        The number of the change, and that of the entry.
    """
    booking = entry.booking
    is_new = isinstance(booking, BookingRow) and booking.id is None
    values = {f"its_{name}": value for name, value in change.items()} | entry.as_stored(None)
    if isinstance(booking, BookingRow) and is_new:
        values |= {f"own_{name}": value for name, value in _stored(booking).items()}
    prepared = prepare(connection.dialect, _together(is_new=is_new))
    number, kept, own = run(connection, prepared, values).fetchone()
    if isinstance(booking, BookingRow) and is_new:
        booking.id = own
    return number, kept


@cache
def _together(*, is_new: bool) -> ReturningInsert[int, int, int]:
    entries = cast("Table", ChangedBookingRow.__table__)
    change = _insertion(ChangeRow, "its_")
    booking = _insertion(BookingRow, "own_") if is_new else None
    named = {
        c.name: bindparam(c.name, type_=c.type)
        for c in entries.c
        if c.name not in {"id", "change_id", "booking_id"}
    }
    of = (
        bindparam("booking_id", type_=entries.c.booking_id.type)
        if booking is None
        else booking.c.id
    )
    both = change if booking is None else change.join(booking, true())  # one row each
    chosen = select(change.c.id, of, *named.values()).select_from(both)
    return (
        insert(entries)
        .from_select(["change_id", "booking_id", *named], chosen)
        .returning(entries.c.change_id, entries.c.id, entries.c.booking_id)
        .execution_options(
            **{WRITES_TO: (ChangeRow.__tablename__, entries.name, *(["booking"] if is_new else []))}
        )
    )


def _insertion(row: type[Base], prefix: str) -> CTE:
    """Return a part of a statement that inserts a row and gives its number."""
    table = cast("Table", row.__table__)
    values: dict[str, Any] = {
        c.name: bindparam(f"{prefix}{c.name}") for c in table.c if c.name != "id"
    }
    return insert(table).values(values).returning(table.c.id).cte(table.name + "_put")


def _stored(booking: BookingRow) -> dict[str, Any]:
    """Return a booking's values by the columns of its table, the number left out."""
    attributes = inspect(BookingRow).column_attrs
    return {one.columns[0].name: getattr(booking, one.key) for one in attributes if one.key != "id"}


def count_if_forgotten(
    states: tuple[BookingState, BookingState], counted_before: int, booking: BookingRow
) -> None:
    """Count a change that a squad would notice, where the code that made it did not.

    Calendars take a change only when the count rises (RFC 5546, section 2.1.5).

    Args:
        states: What the journal keeps of the booking as it was, and as it is.
        counted_before: The count it had then.
        booking: As it is.
    """
    if booking.sequence <= counted_before and is_noticeable(*states):
        booking.sequence = counted_before + 1
        booking.changed_at = datetime.now(UTC)
