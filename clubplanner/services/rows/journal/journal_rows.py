"""From the journal's rows to frozen values."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.booked.bookings import Booking
from clubplanner.domain.booked.journal import BookingState, ChangedBooking, states_before
from clubplanner.domain.times.times import TimeRange
from clubplanner.store.journal.record_sorts import SORT_OF_ROW
from clubplanner.store.journal.states import state_from_stored, stored_state
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.ground_tables import AreaRow, PitchRow
from clubplanner.store.tables.season_tables import ChangedBookingRow, ChangedRecordRow, ChangeRow
from clubplanner.store.tables.squad_tables import SquadRow
from clubplanner.store.tables.turn_tables import earlier_name

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import datetime

    from sqlalchemy.orm import Session


def state_from_row(row: BookingRow) -> BookingState:
    """Return a booking's present state."""
    return state_from_stored(stored_state(row))


def changed_from_row(row: ChangedBookingRow) -> ChangedBooking:
    """Read one booking of a change."""
    before = None if row.before is None else state_from_stored(row.before)
    return ChangedBooking(row.booking_id, before, state_from_stored(row.after))


def bookings_as_known(
    session: Session, during: TimeRange, known_at: datetime
) -> tuple[Booking, ...]:
    """Return the bookings of a range as they stood at an earlier instant, by start.

    Args:
        session: A reading session.
        during: The range asked about.
        known_at: Changes made after this instant are not known yet.
    """
    later = [
        changed_from_row(row)
        for row in session.scalars(
            select(ChangedBookingRow)
            .join(ChangedBookingRow.change)
            .where(ChangeRow.at > known_at)
            .order_by(ChangedBookingRow.id)
        )
    ]
    rows = session.scalars(
        select(BookingRow).where(*BookingRow.running_between(during.starts_at, during.ends_at))
    )
    states = states_before({row.id: state_from_row(row) for row in rows}, later)
    then = {
        number: state
        for number, state in states.items()
        if not state.is_withdrawn
        and state.starts_at < during.ends_at
        and state.ends_at > during.starts_at
    }
    bookings = _bookings(session, then, known_at)
    return tuple(sorted(bookings, key=lambda b: (b.during.starts_at, b.number)))


def _names_as_known(session: Session, known_at: datetime) -> dict[int, str]:
    """Return what squads that were renamed since were called at an earlier instant."""
    rows = session.scalars(
        select(ChangedRecordRow)
        .join(ChangeRow, ChangedRecordRow.change_id == ChangeRow.id)
        .where(ChangedRecordRow.sort == SORT_OF_ROW[SquadRow].name, ChangeRow.at > known_at)
        .order_by(ChangedRecordRow.id.desc())
    )
    return {int(row.number): row.before["name"] for row in rows if row.before is not None}


def _bookings(
    session: Session, states: dict[int, BookingState], known_at: datetime
) -> Iterable[Booking]:
    names = _names_as_known(session, known_at)
    for number, state in states.items():
        area = session.get_one(AreaRow, state.area_id)
        squad = None if state.squad_id is None else session.get(SquadRow, state.squad_id)
        yield Booking(
            number=number,
            uid="",
            pitch_key=session.get_one(PitchRow, state.pitch_id).key,
            area_key=area.key,
            cells=area.cells,
            during=TimeRange(state.starts_at, state.ends_at),
            purpose=state.purpose,
            squad_key=None if squad is None else squad.key,
            holder=state.holder
            if squad is None
            else names.get(squad.id)
            or earlier_name(session, squad.id, state.starts_at)
            or squad.name,
            note=state.note,
            is_withdrawn=False,
            sequence=0,
            changed_at=known_at,
            is_fixed=state.is_fixed,
        )
