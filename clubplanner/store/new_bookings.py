"""New bookings, put into their table past the session's own book-keeping.

It finds out anew with every flush which of many objects changed, and in which order they are to be
written; for the one row that comes with every change that takes longer than all that the database
does. Journal, count and rights hear of it here as they do of what a session finds by itself.
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any

from sqlalchemy import inspect
from sqlalchemy.orm import make_transient_to_detached

from clubplanner.store.journal import note_new_booking
from clubplanner.store.putting import put_row
from clubplanner.store.rights import scope_of
from clubplanner.store.stand import touch_stand
from clubplanner.store.tables.booking_tables import BookingRow

if TYPE_CHECKING:
    from collections.abc import Mapping

    from sqlalchemy.orm import Session


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


@cache
def _columns() -> dict[str, str]:
    """Return the columns by the attributes, the number left out."""
    attributes = inspect(BookingRow).column_attrs
    return {one.key: one.columns[0].name for one in attributes if one.key != "id"}
