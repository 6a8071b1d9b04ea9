"""Asks of the waiting list as values, for whoever reads no words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import select
from sqlalchemy.orm import joinedload

from clubplanner.domain.booked.waiting import AskState
from clubplanner.errors import MissingError
from clubplanner.language import _
from clubplanner.services.giving.waiting_list import find_ask_places, list_asks
from clubplanner.services.rows.own_club import own_squads
from clubplanner.store.tables.season_tables import WaitingAskRow

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date, datetime

    from clubplanner.domain.club.people import Person
    from clubplanner.domain.ground.places import Place
    from clubplanner.store.engine import Store


@dataclass(frozen=True, slots=True)
class WholeAsk:
    """An ask for a session, or for more ground.

    Attributes:
        number: Its number.
        squad_key: For whom.
        day: Local date.
        from_min: Earliest start, minutes after midnight.
        to_min: Latest end.
        minutes: How long.
        least_share: Least part of a pitch; 0 for any.
        booking: The session it is more ground for, or that was booked for it; None for none.
        wants_more: Whether it is about more ground for a session.
        by: Who asked.
        note: May be blank.
        state: What has become of it.
        answer: More about that; may be blank.
        places: Free places now, nearest first; looked for where one ask is shown.
    """

    number: int
    squad_key: str
    day: date
    from_min: int
    to_min: int
    minutes: int
    least_share: float
    booking: int | None
    wants_more: bool
    by: str
    note: str
    state: AskState
    answer: str
    places: tuple[Place, ...] = ()


def list_whole_asks(store: Store, now: datetime, person: Person) -> tuple[WholeAsk, ...]:
    """List asks for dates that are not over, waiting ones first, by fair turn.

    Args:
        store: The database.
        now: The present instant.
        person: Who asks: only those for their squads.
    """
    order = [line.number for line in list_asks(store, now, person)]
    with store.read() as session:
        query = select(WaitingAskRow).where(WaitingAskRow.id.in_(order))
        rows = {row.id: row for row in session.scalars(query.options(_WITH_SQUAD))}
        return tuple(_whole(rows[number]) for number in order if number in rows)


def see_whole_ask(store: Store, number: int, now: datetime, person: Person) -> WholeAsk:
    """Return one ask, and the ground that is free for it now.

    Raises:
        MissingError: If there is none, or it is for no squad of the person's.
    """
    with store.read() as session:
        query = select(WaitingAskRow).where(
            WaitingAskRow.id == number, *own_squads(session, WaitingAskRow.squad_id)
        )
        row = session.scalars(query.options(_WITH_SQUAD)).first()
        if row is None or not person.looks_after(row.squad.key):
            raise MissingError(_("There is no such ask of yours."))
        waits = row.state == AskState.WAITING.value and person.keeps_squads
        return _whole(row, find_ask_places(session, row, now) if waits else ())


_WITH_SQUAD = joinedload(WaitingAskRow.squad)


def _whole(row: WaitingAskRow, places: Sequence[Place] = ()) -> WholeAsk:
    return WholeAsk(
        row.id,
        row.squad.key,
        row.day,
        row.from_min,
        row.to_min,
        row.minutes,
        row.least_share,
        row.booking_id,
        row.wants_more,
        row.by,
        row.note,
        AskState(row.state),
        row.answer,
        tuple(places),
    )
