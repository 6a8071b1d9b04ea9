"""Dated sessions by the hundred thousand: tables of whole numbers, a row a session.

A season of a council has that many, most of which stay as they are: they are compared and counted
as columns, and only what somebody is told of one by one becomes a value (`dated.py`).
"""

from __future__ import annotations

from datetime import date
from itertools import chain
from typing import TYPE_CHECKING

import numpy as np

from clubplanner.services.proposals.dated import Booked, Wanted

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping, Sequence

    from numpy.typing import NDArray

    Table = NDArray[np.int64]
    """Two dimensions; the columns are those below."""
    Column = NDArray[np.int64]

ID, SEQUENCE, SQUAD, AREA, STARTS, ENDS, SHARE_OUT = range(7)
"""Columns of what stands: as in `Booked`, 0 for no squad and for no share-out."""
BOOKED_PLACE = (SQUAD, AREA, STARTS, ENDS)
W_SQUAD, W_AREA, W_STARTS, W_ENDS, W_DAY = range(5)
"""Columns of what is wanted: as in `Wanted`, the date as its ordinal."""
WANTED_PLACE = (W_SQUAD, W_AREA, W_STARTS, W_ENDS)
A_WEEK = 7


def table_of(rows: Iterable[Sequence[int]], columns: int) -> Table:
    """Return rows of whole numbers as a table."""
    return np.fromiter(chain.from_iterable(rows), dtype=np.int64).reshape(-1, columns)


def booked_from(table: Table, written: Mapping[int, str]) -> tuple[Booked, ...]:
    """Return rows of what stands as values.

    Args:
        table: The rows.
        written: Who it is for where that is no squad, by number of the booking.
    """
    return tuple(
        Booked(
            row[ID],
            row[SEQUENCE],
            row[SQUAD] or None,
            row[AREA],
            row[STARTS],
            row[ENDS],
            row[SHARE_OUT] or None,
            written.get(row[ID], ""),
        )
        for row in table.tolist()
    )


def wanted_from(table: Table) -> tuple[Wanted, ...]:
    """Return rows of what is wanted as values."""
    return tuple(
        Wanted(squad, area, starts, ends, date.fromordinal(day))
        for squad, area, starts, ends, day in table.tolist()
    )


def days_of(starts: Column, day_of: Callable[[int], date]) -> Column:
    """Return the ordinals of the local dates of instants, each asked once.

    Args:
        starts: Seconds since 1970.
        day_of: Gives the local date of one.
    """
    known, place = np.unique(starts, return_inverse=True)
    days = [day_of(seconds).toordinal() for seconds in known.tolist()]
    return np.array(days, dtype=np.int64)[place]


def weeks_of(days: Column) -> Column:
    """Return the ordinals of the Mondays of dates that are told by their ordinals."""
    return days - (days - 1) % A_WEEK


def pair_up(ours: Table, theirs: Table) -> tuple[Column, Column]:
    """Pair equal rows of two tables: the first of ours with the first of theirs, and so on.

    Args:
        ours: The rows of one; each has at most one mate.
        theirs: Rows of as many columns.

    Returns:
        The places of the mates in each table, by theirs.
    """
    group = group_rows(np.concatenate((ours, theirs)))
    mine, others = (_ranked(own, len(group)) for own in np.split(group, [len(ours)]))
    _keys, here, there = np.intersect1d(mine, others, assume_unique=True, return_indices=True)
    order = np.argsort(there, kind="stable")
    return here[order], there[order]


def first_of_each(table: Table) -> Column:
    """Return the places of rows that equal no row before them, in order."""
    return np.sort(np.unique(group_rows(table), return_index=True)[1])


def group_rows(table: Table) -> Column:
    """Return a number for each row, the same for equal ones."""
    order = np.lexsort(table.T[::-1])
    is_new = np.any(np.diff(table[order], axis=0) != 0, axis=1)
    found = np.zeros(len(table), dtype=np.int64)
    found[order[1:]] = np.cumsum(is_new)
    return found


def _ranked(group: Column, most: int) -> Column:
    """Return numbers of groups and of the places within them, all below `most`, as one number."""
    order = np.argsort(group, kind="stable")
    inside = np.arange(len(group)) - np.searchsorted(group[order], group[order])
    found = np.empty(len(group), dtype=np.int64)
    found[order] = group[order] * most + inside
    return found
