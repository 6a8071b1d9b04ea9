"""Filling an empty database with a club that is known as a whole.

Rows come in by the hundred thousand, and the past comes as it was, which the guard would not let
anybody book: so it is set aside, and what it holds is asked of all rows together at the end.
"""

from __future__ import annotations

from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import text
from sqlalchemy.orm import Session

from clubplanner.store import postgres
from clubplanner.store.guard import check_guards, stand_up_guards, take_down_guards
from clubplanner.store.stand import begin_stand, read_stand
from clubplanner.store.tables.booking_tables import LONGEST_BOOKING_HOURS
from clubplanner.store.tables.season_tables import ChangeRow
from clubplanner.store.upkeep.moving import OTHER_GROUND, OVERLAPS

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import datetime

    from sqlalchemy import Connection

    from clubplanner.store.engine import Store

MOST_UNSOUND = 100
"""More bookings that cannot be are not told."""


@dataclass(frozen=True, slots=True)
class Unsound:
    """Bookings that the guard would not have let in, by their numbers.

    Attributes:
        overlapping: Pairs that hold the same ground at the same time.
        off_ground: Those that do not hold the ground of their part.
    """

    overlapping: tuple[tuple[int, int], ...]
    off_ground: tuple[int, ...]


@contextmanager
def filling(store: Store) -> Iterator[Session]:
    """Open a session that fills the database in one transaction: all of it, or on an error nothing.

    Neither journal nor outbox see what is done: nobody is told anew what they were told before.
    """
    with store.rebuild() as connection:
        _set_triggers(connection, "DISABLE")
        take_down_guards(connection)
        with Session(bind=connection, expire_on_commit=False) as session:
            yield session
            session.flush()
        _set_triggers(connection, "ENABLE")
        stand_up_guards(connection)
        check_guards(connection)


def find_unsound(session: Session) -> Unsound:
    """Return bookings that cannot be as they are; the first of very many."""
    session.flush()
    pairs = text(OVERLAPS.replace("SELECT one.id", "SELECT one.id, other.id", 1))
    overlapping = session.execute(pairs, {"longest": LONGEST_BOOKING_HOURS * 3600})
    found = tuple((one, other) for one, other in overlapping.fetchmany(MOST_UNSOUND))
    overlapping.close()
    off_ground = session.execute(text(OTHER_GROUND))
    numbers = tuple(number for (number,) in off_ground.fetchmany(MOST_UNSOUND))
    off_ground.close()
    return Unsound(found, numbers)


def note_filling(session: Session, words: str, by: str, now: datetime) -> None:
    """Note in the journal that the club was filled in, and let calendars be made anew.

    Args:
        session: The session that fills.
        words: What was done, a clause without a full stop.
        by: Who did it.
        now: The present instant.
    """
    session.add(ChangeRow(at=now, by=by, words=words, undoes_id=None))
    begin_stand(session.connection(), read_stand(session) + 1)


def _set_triggers(connection: Connection, how: str) -> None:
    if connection.dialect.name == postgres.NAME:
        for table in ("booking", "area"):
            connection.execute(text(f"ALTER TABLE {table} {how} TRIGGER USER"))
