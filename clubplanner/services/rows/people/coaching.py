"""Letting people coach a squad: the one place that writes who does."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.services.rows.bookings.counting import count_bookings
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.people_tables import SquadCoachRow

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.store.tables.people_tables import PersonRow
    from clubplanner.store.tables.squad_tables import SquadRow


def set_coaches(
    session: Session, squad: SquadRow, people: Sequence[PersonRow], now: datetime
) -> None:
    """Let people coach a squad, in this order, and nobody else.

    From the calendar of who leaves the squad's sessions to come go, and to that of who comes back
    they return: each of these counts a change, so that calendars take it (RFC 5546, section 2.1.5).

    Args:
        session: The open write session.
        squad: The squad, flushed.
        people: The first coach first, flushed.
        now: The present instant.
    """
    rows = session.scalars(select(SquadCoachRow).where(SquadCoachRow.squad_id == squad.id)).all()
    known = {row.person_id: row for row in rows if row.ended_at is None}
    former = {row.person_id for row in rows} - set(known)
    wanted = list(dict.fromkeys(person.id for person in people))
    for number, row in known.items():
        if number not in wanted:
            row.ended_at = now
    for position, number in enumerate(wanted):
        if number in known:
            known[number].position = position
        else:
            session.add(
                SquadCoachRow(
                    squad_id=squad.id,
                    person_id=number,
                    position=position,
                    began_at=now,
                    ended_at=None,
                )
            )
    session.flush()
    session.expire(squad, ["coaches"])
    if set(known) - set(wanted) or former & set(wanted):
        count_bookings(session, BookingRow.squad_id == squad.id, now)
