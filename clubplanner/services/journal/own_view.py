"""What of the journal somebody sees who is held to a club: what concerns its squads.

Of a change that concerns others', too, the own part is shown; taken back is only what is own as a
whole.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import String, and_, cast, or_, select

from clubplanner.language import _
from clubplanner.services.rows.own_club import is_held, own_bookings, own_people, own_squads
from clubplanner.store.journal.record_sorts import SORTS
from clubplanner.store.tables.people_tables import PersonRow
from clubplanner.store.tables.season_tables import ChangedBookingRow, ChangedRecordRow, ChangeRow
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy import ColumnElement
    from sqlalchemy.orm import Session

OF_A_SQUAD = tuple(s.name for s in SORTS if s.row is SquadRow or s.named_by is SquadRow)
"""Sorts of records whose number is a squad's."""
OF_A_PERSON = tuple(s.name for s in SORTS if s.row is PersonRow or s.named_by is PersonRow)


def own_changes(session: Session) -> tuple[ColumnElement[bool], ...]:
    """Return the conditions that leave the changes that concern own squads; none for all."""
    if not is_held(session):
        return ()
    bookings = select(ChangedBookingRow.change_id).where(*own_entries(session))
    records = select(ChangedRecordRow.change_id).where(_own_records(session))
    return (or_(ChangeRow.id.in_(bookings), ChangeRow.id.in_(records)),)


def own_entries(session: Session) -> tuple[ColumnElement[bool], ...]:
    """Return the conditions that leave the bookings of own squads in changes; none for all."""
    return own_bookings(session, ChangedBookingRow.booking_id)


def own_records_of(session: Session, row: ChangeRow) -> Sequence[ChangedRecordRow]:
    """Return those records of a change that somebody may see."""
    if not is_held(session):
        return row.records
    numbers = [entry.id for entry in row.records]
    query = select(ChangedRecordRow.id).where(ChangedRecordRow.id.in_(numbers))
    seen = set(session.scalars(query.where(_own_records(session))))
    return [entry for entry in row.records if entry.id in seen]


def why_not_own(session: Session, row: ChangeRow) -> str:
    """Say why somebody who is held to a club may not take a change back; blank if they may."""
    if not is_held(session):
        return ""
    of_change = select(ChangedBookingRow.id).where(ChangedBookingRow.change_id == row.id)
    own = set(session.scalars(of_change.where(*own_entries(session))))
    is_own = own == set(session.scalars(of_change))
    if is_own and len(own_records_of(session, row)) == len(row.records):
        return ""
    return _("It is about more than your club's squads; ask the office of all clubs.")


def _own_records(session: Session) -> ColumnElement[bool]:
    squads = select(cast(SquadRow.id, String)).where(*own_squads(session))
    people = select(cast(PersonRow.id, String)).where(*own_people(session, PersonRow.id))
    numbers = select(SquadRow.id).where(*own_squads(session))
    states = (ChangedRecordRow.after, ChangedRecordRow.before)
    return or_(
        and_(ChangedRecordRow.sort.in_(OF_A_SQUAD), ChangedRecordRow.number.in_(squads)),
        and_(ChangedRecordRow.sort.in_(OF_A_PERSON), ChangedRecordRow.number.in_(people)),
        *(state["squad_id"].as_integer().in_(numbers) for state in states),
    )
