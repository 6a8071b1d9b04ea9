"""Notes for the squads, written by the journal in the transaction of the change itself.

No service has to think of it, and none can forget it: what the journal notes of a booking and a
squad would notice is in the outbox once the change is, and not before.
"""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

from clubplanner.domain.club.notices import is_noticeable, is_soon, squads_told
from clubplanner.store.states import state_from_stored, stored_state
from clubplanner.store.tables.notice_tables import NoticeRow

if TYPE_CHECKING:
    from collections.abc import Iterator

    from clubplanner.store.tables.booking_tables import BookingRow
    from clubplanner.store.tables.season_tables import ChangedBookingRow


def notices_of(
    entry: ChangedBookingRow, booking: BookingRow, *, is_wanted: bool = False
) -> Iterator[NoticeRow]:
    """Yield what squads have to hear of one entry of the journal.

    Args:
        entry: What was and what is.
        booking: The booking as it is.
        is_wanted: Whether it goes by mail however far ahead it is.
    """
    before = None if entry.before is None else state_from_stored(entry.before)
    after = state_from_stored(entry.after)
    if not is_noticeable(before, after):
        return
    for squad_id in squads_told(before, after):
        yield NoticeRow(
            entry=entry,
            squad_id=squad_id,
            sequence=booking.sequence,
            changed_at=booking.changed_at,
            is_wanted=is_wanted or is_soon(before, after, booking.changed_at),
            told_at=None,
        )


def count_if_forgotten(before: dict[str, Any], counted_before: int, booking: BookingRow) -> None:
    """Count a change that a squad would notice, where the code that made it did not.

    Calendars take a change only when the count rises (RFC 5546, section 2.1.5).

    Args:
        before: What the journal keeps of the booking as it was.
        counted_before: The count it had then.
        booking: As it is.
    """
    was, state = state_from_stored(before), state_from_stored(stored_state(booking))
    if booking.sequence <= counted_before and is_noticeable(was, state):
        booking.sequence = counted_before + 1
        booking.changed_at = datetime.now(UTC)
