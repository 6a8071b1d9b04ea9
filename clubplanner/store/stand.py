"""A count of everything that calendars show: as long as it stands still, no calendar has changed.

Like the journal it listens to the session, so that no service has to think of it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import event, select, update
from sqlalchemy.orm import Mapped, mapped_column

from clubplanner.store.tables.base import Base
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.club_tables import ClubRow
from clubplanner.store.tables.ground_tables import AreaRow, ObstacleRow, PitchRow, VenueRow
from clubplanner.store.tables.people_tables import PersonRow, SquadCoachRow
from clubplanner.store.tables.season_tables import ClosureRow
from clubplanner.store.tables.squad_tables import SquadRow
from clubplanner.store.tables.turn_tables import SquadNameRow

if TYPE_CHECKING:
    from sqlalchemy.orm import ORMExecuteState, Session

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

_TOUCHED = "stand_touched"


class StandRow(Base):
    """The count: one row, made at the first change."""

    __tablename__ = "stand"

    id: Mapped[int] = mapped_column(primary_key=True)
    number: Mapped[int]


def keep_stand(session: Session) -> None:
    """Let a write session count its transaction if it changes what calendars show."""
    event.listen(session, "before_flush", _note_rows)
    event.listen(session, "do_orm_execute", _note_statement)
    event.listen(session, "before_commit", _count)
    event.listen(session, "after_rollback", _forget)


def read_stand(session: Session) -> int:
    """Return the count; 0 before the first change."""
    return session.scalar(select(StandRow.number)) or 0


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
    if not session.info.pop(_TOUCHED, False):
        return
    counted = session.execute(
        update(StandRow).values(number=StandRow.number + 1).returning(StandRow.number)
    ).first()
    if counted is None:
        session.add(StandRow(id=1, number=1))
        session.flush()


def _forget(session: Session) -> None:
    session.info.pop(_TOUCHED, None)
