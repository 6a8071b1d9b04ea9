"""The bookings of changes as a list shows them: how many, the first few, and what is to come.

One change may have booked a season; none of it is read that is not told.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from sqlalchemy import and_, func, or_, select

from clubplanner.services.journal.own_view import own_entries
from clubplanner.services.rows.journal_rows import changed_from_row
from clubplanner.store.tables.season_tables import ChangedBookingRow

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.domain.booked.journal import ChangedBooking


@dataclass(slots=True)
class EntriesRead:
    """The bookings of a change.

    Attributes:
        count: How many there are.
        first: The first few, in order.
        ahead: Those that were to end, or end, after the present instant.
    """

    count: int = 0
    first: list[ChangedBooking] = field(default_factory=list)
    ahead: list[ChangedBooking] = field(default_factory=list)


def read_entries(
    session: Session, changes: Sequence[int], most: int, now: datetime
) -> dict[int, EntriesRead]:
    """Read the bookings of some changes, by the changes' numbers.

    Args:
        session: An open session.
        changes: Their numbers.
        most: How many of each are the first few.
        now: The present instant.
    """
    found: dict[int, EntriesRead] = defaultdict(EntriesRead)
    of_changes = and_(ChangedBookingRow.change_id.in_(changes), *own_entries(session))
    counts = (
        select(ChangedBookingRow.change_id, func.count(ChangedBookingRow.id))
        .where(of_changes)
        .group_by(ChangedBookingRow.change_id)
    )
    for change, count in session.execute(counts):
        found[change].count = count
    place = func.row_number().over(
        partition_by=ChangedBookingRow.change_id, order_by=ChangedBookingRow.id
    )
    placed = select(ChangedBookingRow.id, place.label("place")).where(of_changes).subquery()
    first = select(ChangedBookingRow).where(
        ChangedBookingRow.id.in_(select(placed.c.id).where(placed.c.place <= most))
    )
    for row in sorted(session.scalars(first), key=lambda one: one.id):
        found[row.change_id].first.append(changed_from_row(row))
    epoch = int(now.timestamp())
    ahead = select(ChangedBookingRow).where(
        of_changes,
        or_(
            ChangedBookingRow.after["ends_at"].as_integer() > epoch,
            ChangedBookingRow.before["ends_at"].as_integer() > epoch,
        ),
    )
    for row in sorted(session.scalars(ahead), key=lambda one: one.id):
        found[row.change_id].ahead.append(changed_from_row(row))
    return found
