"""Finding people's rows."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.club.comparing_names import plain_name
from clubplanner.domain.club.people import Role
from clubplanner.domain.club.persons.coaches import can_be_one
from clubplanner.errors import MissingError
from clubplanner.language import _
from clubplanner.services.rows.own_club import refuse_unseen_person
from clubplanner.store.tables.people_tables import PersonRow
from clubplanner.store.tables.token_tables import TokenRow

if TYPE_CHECKING:
    from collections.abc import Collection
    from datetime import datetime

    from sqlalchemy.orm import Session


def is_erased(row: PersonRow) -> bool:
    """Tell whether somebody was erased: nothing but a number is left, for what refers to it."""
    return not (row.may_sign_in or row.name or row.email)


def load_person(session: Session, number: int) -> PersonRow:
    """Return a person who may sign in.

    Raises:
        MissingError: If there is none.
    """
    row = session.get(PersonRow, number)
    if row is None or not row.may_sign_in:
        raise MissingError(_("There is no such person, or their access has ended."))
    return row


def load_known_person(session: Session, number: int) -> PersonRow:
    """Return a person who may sign in or coaches a squad.

    Raises:
        MissingError: If there is none.
        RefusedError: If whoever asks may not see them.
    """
    row = session.get(PersonRow, number)
    if row is None or not (row.may_sign_in or row.squads):
        raise MissingError(_("There is no such person, or their access has ended."))
    refuse_unseen_person(session, number)
    return row


def listed_no_more(name: str) -> str:
    """Say of somebody that they are in no list any more once they have been changed, and why."""
    return _(
        "%(name)s coaches no squad and may not sign in, so they are listed no more.", name=name
    )


def role_of(row: PersonRow) -> Role:
    """Return what somebody may do: of the secretary of a club the records say it in two rows."""
    return row.role if row.secretary_of is None else Role.CLUB_SECRETARY


def all_people(session: Session) -> list[PersonRow]:
    """Return everybody who may sign in, by name."""
    rows = session.scalars(select(PersonRow).where(PersonRow.may_sign_in))
    return sorted(rows, key=lambda row: (plain_name(row.name), row.id))


def find_by_email(session: Session, email: str) -> PersonRow | None:
    """Return whose mail address it is, whether or not they may sign in; None for nobody's."""
    wanted = plain_name(email)
    rows = session.scalars(select(PersonRow).order_by(PersonRow.id)) if wanted else ()
    return next((row for row in rows if plain_name(row.email) == wanted), None)


def known_coach(
    session: Session, name: str, email: str, squad_keys: Collection[str] = ()
) -> PersonRow | None:
    """Return who cannot sign in so far and is meant by a name and an address; None for nobody.

    The address decides. Without one on either side it is a coach of that name, among namesakes one
    of some squads; of those who coach nothing any more a name alone tells nothing.
    """

    def is_theirs(row: PersonRow) -> bool:
        return bool(email) and plain_name(row.email) == plain_name(email)

    def likely(row: PersonRow) -> tuple[bool, bool]:
        return not is_theirs(row), not {squad.key for squad in row.squads} & set(squad_keys)

    shut_out = select(PersonRow).where(PersonRow.may_sign_in.is_(False)).order_by(PersonRow.id)
    rows = [
        row
        for row in session.scalars(shut_out)
        if is_theirs(row) or (row.squads and can_be_one(name, email, row.name, row.email))
    ]
    return min(rows, key=likely, default=None)


def withdraw_tokens_of(session: Session, person: int, now: datetime) -> None:
    """Make every token of a person useless, in a transaction that ends their access."""
    query = select(TokenRow).where(TokenRow.person_id == person, TokenRow.revoked_at.is_(None))
    for row in session.scalars(query):
        row.revoked_at = now


def find_login(session: Session, login: str) -> PersonRow | None:
    """Return whom a typed name or e-mail means; None for nobody, and for a name that two share."""
    wanted = plain_name(login)
    if not wanted:
        return None
    found = [
        row
        for row in all_people(session)
        if wanted in (plain_name(row.name), plain_name(row.email))
    ]
    return found[0] if len(found) == 1 else None


def new_coach(name: str, email: str, now: datetime, phone: str = "") -> PersonRow:
    """Return somebody new who coaches and cannot sign in so far."""
    return PersonRow(
        name=name,
        email=email,
        phone=phone,
        may_sign_in=False,
        role=Role.COACH,
        password_hash=None,
        version=0,
        created_at=now,
        ended_at=None,
    )
