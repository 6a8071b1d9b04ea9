"""The bookings of changes as a list shows them: how many, the first few, and what is to come.

One change may have booked a season; none of it is read that is not told.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import TYPE_CHECKING
from weakref import WeakKeyDictionary

from sqlalchemy import and_, func, or_, select, union_all

from clubplanner.services.journal.own_view import own_entries
from clubplanner.services.rows.journal.journal_rows import changed_from_row
from clubplanner.store.tables.season_tables import ChangedBookingRow, ChangeRow

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from sqlalchemy import CompoundSelect, Engine
    from sqlalchemy.orm import Session

    from clubplanner.domain.booked.journal import ChangedBooking

NEVER = datetime.max.replace(tzinfo=UTC)
MOST_OVER = 10_000
_OVER: WeakKeyDictionary[Engine, dict[tuple[int, datetime, int], datetime]] = WeakKeyDictionary()
"""By database: changes (number, instant, bookings) of which all is over, since when at least."""


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
    if found:
        first = select(ChangedBookingRow).where(ChangedBookingRow.id.in_(_first(found, most)))
        for row in sorted(session.scalars(first), key=lambda one: one.id):
            found[row.change_id].first.append(changed_from_row(row))
    for row in _ahead(session, found, now):
        found[row.change_id].ahead.append(changed_from_row(row))
    return found


def _first(changes: Iterable[int], most: int) -> CompoundSelect[tuple[int]]:
    """Ask for the numbers of the first few of each change, and read no more than these."""
    few = (
        select(ChangedBookingRow.id)
        .where(ChangedBookingRow.change_id == change)
        .order_by(ChangedBookingRow.id)
        .limit(most)
        .subquery()
        for change in changes
    )
    return union_all(*(select(one.c.id) for one in few))


def _ahead(
    session: Session, changes: Mapping[int, EntriesRead], now: datetime
) -> list[ChangedBookingRow]:
    """Return the entries that are to come; a change of which all is over is not read again.

    What a change noted stays as it is, so that what is over stays over.
    """
    over = _OVER.setdefault(session.connection().engine, {})
    at = session.execute(select(ChangeRow.id, ChangeRow.at).where(ChangeRow.id.in_(changes)))
    keys = {number: (number, instant, changes[number].count) for number, instant in at}
    asked = {number for number, key in keys.items() if now < over.get(key, NEVER)}
    epoch = int(now.timestamp())
    ahead = select(ChangedBookingRow).where(
        ChangedBookingRow.change_id.in_(asked),
        or_(
            ChangedBookingRow.after["ends_at"].as_integer() > epoch,
            ChangedBookingRow.before["ends_at"].as_integer() > epoch,
        ),
    )
    rows = sorted(session.scalars(ahead), key=lambda one: one.id) if asked else []
    if len(over) > MOST_OVER:
        over.clear()
    for number in asked - {row.change_id for row in rows}:
        over[keys[number]] = now
    return rows
