"""The training of a season as a table, kept and patched by what the journal says was changed.

A council has a hundred thousand, of which a change touches a few: they are read once, and then
those alone that changes since are about. Nothing is told by it that a reading would not tell:
numbers of changes rise as these become visible, and where they count anew (`journal_eras.py`) or
some are gone, all is read again.
"""

from __future__ import annotations

from itertools import chain
from typing import TYPE_CHECKING, NamedTuple
from weakref import WeakKeyDictionary

import numpy as np
from sqlalchemy import BigInteger, case, func, select, type_coerce

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.services.proposals.dated_tables import ID, STARTS, table_of
from clubplanner.services.rows.journal.journal_eras import find_eras, newest_change
from clubplanner.store.stand import read_booked_mark
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.season_tables import ChangedBookingRow

if TYPE_CHECKING:
    from datetime import datetime

    from sqlalchemy import ColumnElement
    from sqlalchemy.orm import Session

    from clubplanner.domain.booked.marks import Era
    from clubplanner.services.proposals.dated_tables import Table

    Span = tuple[datetime, datetime]
    """From an instant, before another."""

COLUMNS = (
    BookingRow.id,
    BookingRow.sequence,
    BookingRow.squad_id,
    BookingRow.area_id,
    type_coerce(BookingRow.starts_at, BigInteger),
    type_coerce(BookingRow.ends_at, BigInteger),
    func.coalesce(BookingRow.share_out_id, 0),
)
"""Those of `Booked`, in its order."""
AT_ONCE = 500
"""Rows that are tuples at the same time; see `services/reports/sums/booked_time.py`. And numbers
that are looked for in one query."""
MOST_PATCHED = 5_000
"""After how many changed bookings all are read again."""


class _Season(NamedTuple):
    """The training of the one season that was asked about last; its table is never changed.

    Attributes:
        mark: That of what is booked, by which it holds.
        span: Which training.
        eras: Those of the journal, all of them.
        change: The newest change that it knows.
        table: The training, with whether a person put it there.
    """

    mark: int
    span: Span
    eras: tuple[Era, ...]
    change: int
    table: Table


_SEASONS: WeakKeyDictionary[object, _Season] = WeakKeyDictionary()


def load_season(session: Session, span: Span) -> Table:
    """Return the training that begins in a long time, as `read_trainings` does; nobody changes it.

    It is read for each leaf of a page.
    """
    mark = read_booked_mark(session)
    if mark is None:
        return read_trainings(session, span)
    engine = session.get_bind().engine
    known = _SEASONS.get(engine)
    if known is not None and known.span == span and known.mark == mark:
        return known.table
    eras, newest = find_eras(session), newest_change(session)
    patched = None
    if known is not None and known.span == span and known.eras == eras:
        patched = _patched(session, known, newest)
    table = read_trainings(session, span) if patched is None else patched
    _SEASONS[engine] = _Season(mark, span, eras, newest, table)
    return table


def read_trainings(session: Session, span: Span, *which: ColumnElement[bool]) -> Table:
    """Read the training that stands and begins in a time, by start.

    Args:
        session: An open session.
        span: From an instant, before another.
        which: Further conditions.

    Returns:
        A row for each: `COLUMNS`, and 1 where a person put it there, else 0.
    """
    rows = session.connection().execute(  # past the mapper: a season has a hundred thousand
        select(*COLUMNS, case((BookingRow.is_fixed, 1), else_=0))
        .where(
            BookingRow.purpose == Purpose.TRAINING,
            BookingRow.is_withdrawn.is_(False),
            BookingRow.squad_id.is_not(None),
            BookingRow.starts_at >= span[0],
            BookingRow.starts_at < span[1],
            *which,
        )
        .order_by(BookingRow.starts_at, BookingRow.id)
    )
    return table_of(chain.from_iterable(rows.partitions(AT_ONCE)), len(COLUMNS) + 1)


def _patched(session: Session, known: _Season, newest: int) -> Table | None:
    """Return what is known with what was changed since; None where that cannot be told.

    Records that are filled in at once are not in the journal: then there was nothing before.
    """
    if newest < known.change or not len(known.table):
        return None
    found = session.scalars(  # all of them: for different ones alone all entries would be read
        select(ChangedBookingRow.booking_id)
        .where(ChangedBookingRow.change_id > known.change)
        .limit(MOST_PATCHED + 1)
    ).all()
    if len(found) > MOST_PATCHED:
        return None
    numbers = sorted(set(found))
    kept = known.table[~np.isin(known.table[:, ID], numbers)]
    changed = (
        read_trainings(session, known.span, BookingRow.id.in_(numbers[start : start + AT_ONCE]))
        for start in range(0, len(numbers), AT_ONCE)
    )
    table = np.concatenate((kept, *changed))
    return table[np.lexsort((table[:, ID], table[:, STARTS]))]
