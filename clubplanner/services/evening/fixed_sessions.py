"""Fixing a session where it is, so that share-outs leave it alone, and letting it go again."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.errors import MissingError, OutdatedError, RefusedError
from clubplanner.language import _
from clubplanner.store.journal.journal import describe_change
from clubplanner.store.tables.booking_tables import BookingRow

if TYPE_CHECKING:
    from datetime import datetime

    from clubplanner.store.engine import Store


def fix_booking(store: Store, number: int, sequence: int, now: datetime, *, is_fixed: bool) -> str:
    """Fix a squad's session where it is, or let share-outs move it again.

    Nothing changes for the squad, so the count of changes stays.

    Args:
        store: The database.
        number: The booking's number.
        sequence: The change the person was looking at; a later one stands.
        now: The present instant.
        is_fixed: Whether share-outs are to leave it alone.

    Returns:
        What was done, a sentence.

    Raises:
        MissingError: If the booking is gone.
        OutdatedError: If somebody changed it in the meantime.
        RefusedError: If it is over, or no squad's training.
    """
    with store.write(brief=True) as session:
        row = session.get(BookingRow, number)
        if row is None or row.is_withdrawn:
            raise MissingError(_("This booking has already been withdrawn."))
        if row.sequence != sequence:
            raise OutdatedError(
                _("Somebody has changed this booking in the meantime; look again, then decide.")
            )
        if row.purpose is not Purpose.TRAINING or row.squad_id is None:
            raise RefusedError(_("Only a squad's training can be moved by share-outs."))
        if row.ends_at <= now:
            raise RefusedError(_("This session is over."))
        row.is_fixed = is_fixed
        done = _("kept where it is") if is_fixed else _("free for share-outs to move")
        describe_change(session, f"{row.holder}: {done}")
        if is_fixed:
            return _("%(holder)s: this session is now kept where it is.", holder=row.holder)
        return _("%(holder)s: this session is now free for share-outs to move.", holder=row.holder)
