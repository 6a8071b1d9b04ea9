"""What whoever is at work may see and change, asked by every service: own squads, or all of them.

The secretary of a club within the record is held to its squads (`store/rights.py` decides); nobody
else is. Ground, and who has it, is everybody's.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from sqlalchemy import select

from clubplanner.domain.club.clubs_within import ClubWithin
from clubplanner.errors import MissingError
from clubplanner.language import _
from clubplanner.store.rights import (
    NOBODY,
    clubs_of_person,
    clubs_of_squads,
    refuse,
    scope_of,
    who_may,
)
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.people_tables import PersonRow, SquadCoachRow
from clubplanner.store.tables.squad_tables import SquadRow
from clubplanner.store.tables.within_tables import ClubWithinRow, SquadClubRow

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy import ColumnElement, Select
    from sqlalchemy.orm import Session
    from sqlalchemy.orm.attributes import InstrumentedAttribute

    from clubplanner.store.engine import Store


def is_held(session: Session) -> bool:
    """Tell whether whoever is at work is held to the squads of a club."""
    return scope_of(session) is not None


def own_squads(
    session: Session, column: InstrumentedAttribute[Any] = SquadRow.id
) -> tuple[ColumnElement[bool], ...]:
    """Return the conditions that leave the squads whoever is at work may see; none for all.

    Args:
        session: An open session.
        column: The column that says of which squad a row is.
    """
    numbers = _own_numbers(session)
    return () if numbers is None else (column.in_(numbers),)


def own_bookings(
    session: Session, column: InstrumentedAttribute[Any]
) -> tuple[ColumnElement[bool], ...]:
    """Return the conditions that leave what is of bookings of own squads; none for all.

    Args:
        session: An open session.
        column: The column that says of which booking a row is.
    """
    numbers = _own_numbers(session)
    if numbers is None:
        return ()
    return (column.in_(select(BookingRow.id).where(BookingRow.squad_id.in_(numbers))),)


def own_people(
    session: Session, column: InstrumentedAttribute[Any]
) -> tuple[ColumnElement[bool], ...]:
    """Return the conditions that leave whom whoever is at work may see; none for everybody.

    Those are the coaches of own squads, now or once, and oneself.

    Args:
        session: An open session.
        column: The column with the person's number.
    """
    scope, numbers = scope_of(session), _own_numbers(session)
    if scope is None or numbers is None:
        return ()
    coaches = select(SquadCoachRow.person_id).where(SquadCoachRow.squad_id.in_(numbers))
    return (column.in_(coaches) | (column == scope.person),)


def is_own_squad(session: Session, squad: int | None) -> bool:
    """Tell whether whoever is at work may see and change what is of a squad; None is no squad."""
    scope = scope_of(session)
    return scope is None or scope.covers(clubs_of_squads(session, [squad]))


def refuse_other_squad(session: Session, squad: int | None) -> None:
    """Refuse what is of a squad of another club, or of none, to whoever is held to one.

    Raises:
        RefusedError: Saying who may.
    """
    if is_held(session):
        refuse(session, clubs_of_squads(session, [squad]))


def refuse_other_person(session: Session, person: PersonRow) -> None:
    """Refuse to change somebody who is not a coach of own squads alone.

    Raises:
        RefusedError: Saying who may.
    """
    scope = scope_of(session)
    if scope is not None and person.id != scope.person:
        refuse(session, clubs_of_person(session, person.id))


def who_may_change(session: Session, person: PersonRow) -> str:
    """Say who may change somebody, where whoever is at work may not; blank where they may."""
    scope = scope_of(session)
    if scope is None or person.id == scope.person:
        return ""
    owners = clubs_of_person(session, person.id)
    return "" if scope.covers(owners) else who_may(session, owners)


def is_own_coach(session: Session, person: int) -> bool:
    """Tell whether somebody coaches own squads alone, or nobody is held to any."""
    scope = scope_of(session)
    return scope is None or scope.covers(clubs_of_person(session, person))


def refuse_unseen_person(session: Session, person: int) -> None:
    """Refuse to show somebody who coaches no own squad, and never did.

    Raises:
        RefusedError: Saying who may.
    """
    conditions = own_people(session, PersonRow.id)
    seen = select(PersonRow.id).where(PersonRow.id == person, *conditions)
    if conditions and session.scalars(seen).first() is None:
        refuse_office(session)


def office_in_words(store: Store) -> str:
    """Say who may do what is of all clubs, a full sentence."""
    with store.read() as session:
        return who_may(session, NOBODY)


def refuse_office(session: Session) -> None:
    """Refuse what is of all clubs to whoever is held to one.

    Raises:
        RefusedError: Saying who may.
    """
    refuse(session, NOBODY)


def load_clubs(session: Session, *, ended: bool = False) -> tuple[ClubWithin, ...]:
    """Return the clubs within the record, in its order; empty for the record of a single club.

    Args:
        session: An open session.
        ended: Whether those count that take part no longer.
    """
    query = select(ClubWithinRow).order_by(ClubWithinRow.position, ClubWithinRow.id)
    if not ended:
        query = query.where(ClubWithinRow.ended_at.is_(None))
    return tuple(
        ClubWithin(row.id, row.name, row.ended_at is not None) for row in session.scalars(query)
    )


def load_club_within(session: Session, number: int) -> ClubWithinRow:
    """Return a club that takes part.

    Raises:
        MissingError: If there is none of that number.
    """
    row = session.get(ClubWithinRow, number)
    if row is None or row.ended_at is not None:
        raise MissingError(_("There is no such club, or it takes part no longer."))
    return row


def clubs_by_squad(session: Session) -> dict[int, ClubWithin]:
    """Return the club of each squad that has one, by the squad's number."""
    clubs = {club.number: club for club in load_clubs(session, ended=True)}
    if not clubs:
        return {}
    rows = session.execute(select(SquadClubRow.squad_id, SquadClubRow.club_id))
    return {squad: clubs[club] for squad, club in rows}


def club_names_by_key(session: Session) -> dict[str, str]:
    """Return the name of the club of each squad that has one, by the squad's key."""
    rows: Sequence[tuple[str, str]] = session.execute(
        select(SquadRow.key, ClubWithinRow.name)
        .join(SquadClubRow, SquadClubRow.squad_id == SquadRow.id)
        .join(ClubWithinRow, ClubWithinRow.id == SquadClubRow.club_id)
    ).all()
    return dict(rows)


def _own_numbers(session: Session) -> Select[int] | None:
    scope = scope_of(session)
    if scope is None:
        return None
    return select(SquadClubRow.squad_id).where(SquadClubRow.club_id == scope.club)
