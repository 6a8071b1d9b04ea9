"""Marks by which processes tell what has not changed, so that they need not read it again.

One counts everything that calendars show: as long as it stands still, no calendar has changed. The
other is drawn anew with every change of what bookings are held against: ground, squads, people,
settings. It is drawn, not counted, so that records put back from a copy never bear the mark of
others. Like the journal these listen, so that no service has to think of them: the first to the
session, the second to the statements themselves, whoever sends them through our engines.
"""

from __future__ import annotations

import re
import secrets
from functools import cache, lru_cache
from typing import TYPE_CHECKING, Any, cast

from sqlalchemy import bindparam, delete, event, insert, select, update
from sqlalchemy.orm import Mapped, Session, mapped_column

from clubplanner.store.direct import prepare, run
from clubplanner.store.tables.base import Base
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.club_tables import ClubRow
from clubplanner.store.tables.ground_tables import AreaRow, ObstacleRow, PitchRow, VenueRow
from clubplanner.store.tables.people_tables import PersonRow, SquadCoachRow
from clubplanner.store.tables.season_tables import ClosureRow
from clubplanner.store.tables.squad_tables import SquadRow
from clubplanner.store.tables.turn_tables import SquadNameRow

if TYPE_CHECKING:
    from sqlalchemy import Connection, Engine, Select, Table, Update
    from sqlalchemy.engine.interfaces import ExecutionContext
    from sqlalchemy.orm import ORMExecuteState

SHOWN = (
    AreaRow,
    BookingRow,
    ClosureRow,
    ClubRow,
    ObstacleRow,
    PersonRow,
    PitchRow,
    SquadCoachRow,
    SquadNameRow,
    SquadRow,
    VenueRow,
)
"""Rows whose change may change a calendar."""

HELD_AGAINST = frozenset(
    {
        *("area", "ask", "club", "obstacle", "own_format", "person", "pitch", "squad"),
        *("squad_coach", "squad_end", "squad_season", "training_break", "venue", "wear_limit"),
    }
)
"""Tables of what bookings are held against (`services/rows/bookings/held_against.py`)."""

_TOUCHED = "stand_touched"
_READ = "stand_read"
"""The transaction in which the mark was read, and the mark."""
WRITTEN = "clubplanner_written"
"""Option of a write session's connection, and of the session: the tables it has written to."""
WRITES_TO = "clubplanner_writes_to"
"""Option of a statement from which it cannot be read: the tables it writes to."""
_CALENDARS, SETUP = 1, 2
"""Numbers of the rows."""
_WRITES = re.compile(r"\s*(?:INSERT INTO|UPDATE|DELETE FROM)\s+\"?(\w+)")
_READS = re.compile(r"\s*(?:SELECT|PRAGMA|LOCK|SAVEPOINT|RELEASE|ROLLBACK|BEGIN|SET)\b")
_STATEMENTS = 1_000
"""So many are known by their text."""
_ANY = "any"
_WATCHED = HELD_AGAINST | {_ANY}
_SHOWN_TABLES = {row.__tablename__ for row in SHOWN} | {_ANY}
_MARKS = 2**31


class StandRow(Base):
    """The count and the mark: a row each, made at the first change."""

    __tablename__ = "stand"

    id: Mapped[int] = mapped_column(primary_key=True)
    number: Mapped[int]


class Written(set[str]):
    """The tables that a write session has written to.

    Attributes:
        mark: That of what bookings are held against, as it was when the session began; None where
            it was not read yet.
        counts_later: Whether whoever commits counts what calendars show.
        is_touched: Whether there is something to be counted then.
    """

    mark: int | None = None
    counts_later: bool = False
    is_touched: bool = False

    @property
    def is_setup_kept(self) -> bool:
        """Whether what bookings are held against is as it was."""
        return self.isdisjoint(_WATCHED)


def keep_stand(sessions: type[Session]) -> None:
    """Let each write session of a class count its transaction if it changes what calendars show.

    And draw the other mark anew if it changes what bookings are held against. A session's
    connection has the option `WRITTEN`, an empty `Written`, which the session knows by that, too.
    """
    event.listen(sessions, "before_flush", _note_rows)
    event.listen(sessions, "do_orm_execute", _note_statement)
    event.listen(sessions, "before_commit", _count)
    event.listen(sessions, "after_rollback", _forget)


def read_stand(session: Session | Connection) -> int:
    """Return the count; 0 before the first change."""
    return _read_number(session, _CALENDARS)


def read_booked_mark(session: Session) -> int | None:
    """Return the count as a mark of what is booked, as the session sees it.

    Returns:
        None for a session that has changed some of it, which is counted when it ends, and for one
        that shares its transaction with others.
    """
    written = _written(session)
    if written is None:
        return read_stand(session)
    if session.autoflush and (session.new or session.dirty or session.deleted):
        session.flush()
    is_kept = written.isdisjoint(_SHOWN_TABLES) and not written.counts_later
    return read_stand(session) if is_kept else None


def begin_stand(connection: Connection, count: int) -> None:
    """Let records that came in place of others bear a count and a mark of their own.

    Args:
        connection: In the transaction that puts them there, past any write session.
        count: Higher than any that either of them had.
    """
    table = cast("Table", StandRow.__table__)
    connection.execute(delete(table))
    marks = {_CALENDARS: count, SETUP: secrets.randbelow(_MARKS)}
    connection.execute(
        insert(table), [{"id": row, "number": number} for row, number in marks.items()]
    )


def watch_writes(engine: Engine) -> None:
    """Let the write sessions of an engine know which tables they have written to."""
    event.listen(engine, "before_cursor_execute", _note_table)


def read_setup_mark(session: Session) -> int | None:
    """Return the mark of what bookings are held against, as the session sees it.

    Returns:
        None while the session itself has changed some of it: what it reads is only its own.
    """
    if session.autoflush and (session.new or session.dirty or session.deleted):
        session.flush()
    written = _written(session)
    if written is not None and not written.is_setup_kept:
        return None
    if written is not None and written.mark is not None:
        return written.mark
    read: tuple[object, int] = session.info.get(_READ, (None, 0))
    transaction = session.get_transaction()
    if transaction is None or read[0] is not transaction:  # one transaction sees one state
        number = _read_number(session, SETUP)
        read = session.get_transaction(), number
        session.info[_READ] = read
    if written is not None:
        written.mark = read[1]
    return read[1]


def _written(session: Session) -> Written | None:
    """Return what a write session has written; None for one that only reads."""
    written: Written | None = session.info.get(WRITTEN)
    return written


def _note_table(
    connection: Connection,
    _cursor: Any,
    statement: str,
    _parameters: Any,
    context: ExecutionContext | None,
    *_unused: Any,
) -> None:
    written = connection.get_execution_options().get(WRITTEN)
    if written is None:
        return
    told = None if context is None else context.execution_options.get(WRITES_TO)
    if told is not None:
        written.update(told)
        return
    table = _written_to(statement)
    if table is not None:
        written.add(table)


@lru_cache(_STATEMENTS)
def _written_to(statement: str) -> str | None:
    """Return the table that a statement writes to; None where it writes to none."""
    found = _WRITES.match(statement)
    if found is not None:
        return found[1]
    return _ANY if _READS.match(statement) is None else None


def touch_stand(session: Session) -> None:
    """Let the transaction count, though it writes past the session."""
    session.info[_TOUCHED] = True


def _note_rows(session: Session, *_: object) -> None:
    if any(isinstance(row, SHOWN) for row in (*session.new, *session.dirty, *session.deleted)):
        session.info[_TOUCHED] = True


def _note_statement(state: ORMExecuteState) -> None:
    mapper = state.bind_mapper
    writes = state.is_insert or state.is_update or state.is_delete
    if writes and mapper is not None and issubclass(mapper.class_, SHOWN):
        state.session.info[_TOUCHED] = True


def _count(session: Session) -> None:
    session.flush()
    written = _written(session)
    if written is not None and not written.is_setup_kept:
        mark = secrets.randbelow(_MARKS)
        _set(session.connection(), SETUP, first=mark, then=mark)
    is_touched = session.info.pop(_TOUCHED, False)
    if is_touched and written is not None and written.counts_later:
        written.is_touched = True
    elif is_touched:
        count_calendars(session.connection())


def count_calendars(connection: Connection) -> None:
    """Count that a transaction changed what calendars show: for all who had a part in it, once."""
    _set(connection, _CALENDARS, first=1)


def _set(connection: Connection, row: int, *, first: int, then: int | None = None) -> None:
    """Write a row: one more than it was, or what it is to be then; or for the first time."""
    values = {"of": row} if then is None else {"of": row, "then": then}
    done = run(connection, prepare(connection.dialect, _to_set(is_counted=then is None)), values)
    if done.rowcount == 0:
        table = cast("Table", StandRow.__table__)
        connection.execute(insert(table), {"id": row, "number": first})


def _read_number(session: Session | Connection, row: int) -> int:
    connection = session.connection() if isinstance(session, Session) else session
    found = run(connection, prepare(connection.dialect, _number_of()), {"of": row}).fetchone()
    return 0 if found is None else int(found[0])


@cache
def _number_of() -> Select[int]:
    return select(StandRow.number).where(StandRow.id == bindparam("of"))


@cache
def _to_set(*, is_counted: bool) -> Update:
    table = StandRow.__table__
    then = table.c.number + 1 if is_counted else bindparam("then")
    return (
        update(table)  # type: ignore[arg-type]
        .where(table.c.id == bindparam("of"))
        .values(number=then)
    )


def _forget(session: Session) -> None:
    session.info.pop(_TOUCHED, None)
