"""Pruning: what is over goes after the periods that the club chose, a little at a time.

Rows are looked for in a reading session and taken away a few in a transaction, so that no writer
waits longer than that takes. Nothing of it is noted in the journal: it would keep what goes.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import delete, func, select, update

from clubplanner.services.keeping.pruned import EVERYTHING
from clubplanner.services.rows.club.keeping_rows import load_keeping
from clubplanner.services.rows.journal.journal_eras import note_dropped
from clubplanner.store.stand import touch_stand
from clubplanner.store.tables.base import Base

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import datetime

    from sqlalchemy import Connection

    from clubplanner.services.keeping.pruned import Prune
    from clubplanner.store.engine import Store

BATCH = 200
"""Rows of one transaction."""
MOST_BATCHES = 50
"""Of one round of the worker, so that mails do not wait for it."""
EVERY = timedelta(hours=1)


@dataclass(frozen=True, slots=True)
class Pruned:
    """What one round pruned.

    Attributes:
        rows: Rows that went or were emptied, by what was pruned.
        is_done: Whether nothing is left to prune.
    """

    rows: Mapping[str, int]
    is_done: bool


def prune(store: Store, now: datetime, batches: int = MOST_BATCHES) -> Pruned:
    """Prune what is over, up to so many batches' rows.

    Args:
        store: The database.
        now: The present instant.
        batches: For how many batches' rows at most.
    """
    with store.read() as session:
        keeping = load_keeping(session)
    counts: Counter[str] = Counter()
    is_going_on = True
    while is_going_on:
        is_going_on = False
        for one in EVERYTHING:
            limit = now if one.period is None else now - keeping.time_of(one.period)
            while keys := _find(store, one, limit, now):
                if counts.total() >= batches * BATCH:
                    return Pruned(counts, is_done=False)
                _take(store, one, keys, now)
                counts[one.name] += len(keys)
                is_going_on = True
    return Pruned(counts, is_done=True)


class Pruner:
    """Prunes when it is due: once an hour, and at once again while something is left."""

    def __init__(self) -> None:
        self._next_at: datetime | None = None

    def prune_if_due(self, store: Store, now: datetime) -> None:
        """Prune a little if it is time."""
        if self._next_at is not None and now < self._next_at:
            return
        done = prune(store, now)
        self._next_at = now + EVERY if done.is_done else now


def _find(store: Store, one: Prune, limit: datetime, now: datetime) -> list[int]:
    with store.read() as session:
        return one.find(session.connection(), limit, now, BATCH)


def _take(store: Store, one: Prune, keys: Sequence[int], now: datetime) -> None:
    with store.write() as session:
        if one.change:
            table = Base.metadata.tables[one.table]
            last = select(func.max(table.c[one.change])).where(table.c[one.key].in_(keys))
            note_dropped(session, session.scalar(last) or 0, now)
        _do(session.connection(), one, keys)
        if one.shows:
            touch_stand(session)


def _do(connection: Connection, one: Prune, keys: Sequence[int]) -> None:
    for name, column in one.before:
        table = Base.metadata.tables[name]
        connection.execute(delete(table).where(table.c[column].in_(keys)))
    table = Base.metadata.tables[one.table]
    which = table.c[one.key].in_(keys)
    if one.emptied:
        connection.execute(update(table).where(which).values(dict(one.emptied)))
    else:
        connection.execute(delete(table).where(which))
