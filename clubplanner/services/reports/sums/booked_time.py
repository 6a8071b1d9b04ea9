"""What is booked in a report's time, read once as plain numbers: a year has half a million.

All figures of use and ground are sums over these arrays, so that they are about the same bookings.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import chain
from typing import TYPE_CHECKING, Any

import numpy as np
from sqlalchemy import BigInteger, case, func, or_, select, type_coerce

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.services.rows.own_club import own_squads
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.ground_tables import AreaRow

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray
    from sqlalchemy import ColumnElement, CursorResult
    from sqlalchemy.orm import Session

    from clubplanner.domain.times.spans import Seconds
    from clubplanner.services.reports.sums.slices import Slice

    Numbers = NDArray[np.int64]

PURPOSES = tuple(Purpose)
"""A purpose is kept as its place among these."""
NOBODY = 0
"""In place of a squad's number where a booking is of none."""
AT_ONCE = 500
"""Rows that are tuples of Python at the same time: few, or the collector of garbage walks over all
of them again and again, which takes as long as reading them."""


@dataclass(frozen=True, slots=True, eq=False)
class BookedTime:
    """Bookings that are not withdrawn, as arrays of equal length.

    Attributes:
        pitches: Numbers of their pitches.
        areas: Numbers of their areas.
        starts: First seconds, since 1970.
        ends: Seconds at which each is over.
        purposes: Places in `PURPOSES`.
        squads: Numbers of squads, or `NOBODY`.
        holders: Places in `names`: who else it is, blank where a squad is named and where ground
            is closed.
        names: What `holders` means.
    """

    pitches: Numbers
    areas: Numbers
    starts: Seconds
    ends: Seconds
    purposes: Numbers
    squads: Numbers
    holders: Numbers
    names: tuple[str, ...]

    @property
    def is_closed(self) -> NDArray[np.bool_]:
        """Where ground is closed, which is no use."""
        found: NDArray[np.bool_] = self.purposes == PURPOSES.index(Purpose.CLOSED)
        return found


def load_booked(session: Session, slices: Sequence[Slice]) -> BookedTime:
    """Read what touches a report's time.

    Args:
        session: A reading session; who is held to a club's squads gets those, and no closed ground.
        slices: Parts of time, in order.
    """
    is_other = BookingRow.squad_id.is_(None) & (BookingRow.purpose != Purpose.CLOSED)
    is_ours = or_(BookingRow.squad_id.is_not(None), BookingRow.purpose == Purpose.CLOSED)
    ours = _read(session, slices, is_ours)
    names = {"": 0}
    others = [
        (*row[:-1], names.setdefault(row[-1], len(names)))
        for row in _rows(session, slices, is_other, BookingRow.written_holder)
    ]
    table = np.concatenate(
        (np.pad(ours, ((0, 0), (0, 1))), np.array(others, dtype=np.int64).reshape(-1, 5))
    )
    areas, starts, ends, who, holders = table.T
    squads, purposes = np.divmod(who, len(PURPOSES))
    pitches = _pitches(session)[areas]
    return BookedTime(pitches, areas, starts, ends, purposes, squads, holders, tuple(names))


def _rows(
    session: Session, slices: Sequence[Slice], which: ColumnElement[bool], *more: Any
) -> CursorResult[Any]:
    """Ask past the mapper, which would take longer over each row than all that is done with it.

    Each value of a row costs, too: squad and purpose come as one number, the pitch with its area.
    """
    purpose = case({one: place for place, one in enumerate(PURPOSES)}, value=BookingRow.purpose)
    query = select(
        BookingRow.area_id,
        type_coerce(BookingRow.starts_at, BigInteger),
        type_coerce(BookingRow.ends_at, BigInteger),
        func.coalesce(BookingRow.squad_id, NOBODY) * len(PURPOSES) + purpose,
        *more,
    ).where(
        *BookingRow.running_between(slices[0].starts_at, slices[-1].ends_at),
        BookingRow.is_withdrawn.is_(False),
        which,
        *own_squads(session, BookingRow.squad_id),
    )
    return session.connection().execute(query)


def _read(session: Session, slices: Sequence[Slice], which: ColumnElement[bool]) -> Numbers:
    parts = [
        np.fromiter(chain.from_iterable(rows), dtype=np.int64, count=4 * len(rows)).reshape(-1, 4)
        for rows in _rows(session, slices, which).partitions(AT_ONCE)
    ]
    return np.concatenate((np.zeros((0, 4), dtype=np.int64), *parts))


def _pitches(session: Session) -> Numbers:
    """Return the number of each area's pitch, at the place of the area's number."""
    rows = session.execute(select(AreaRow.id, AreaRow.pitch_id)).all()
    found = np.zeros(max((area for area, _pitch in rows), default=0) + 1, dtype=np.int64)
    for area, pitch in rows:
        found[area] = pitch
    return found
