"""The people page: who may sign in, as what, and for which squads."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import delete, func, select
from sqlalchemy.orm import selectinload

from clubplanner.domain.club.comparing_names import plain_name
from clubplanner.domain.club.people import Person, Role
from clubplanner.domain.problems import Problem
from clubplanner.errors import FaultyInputError, OutdatedError, RefusedError
from clubplanner.language import _
from clubplanner.services.people.browsers import person_from_row
from clubplanner.services.people.passwords import refuse_taken
from clubplanner.services.rows.people_rows import load_person
from clubplanner.store.tables.people_tables import BrowserRow, PersonRow, SignInRow
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.store.engine import Store


@dataclass(frozen=True, slots=True)
class PersonDraft:
    """What the form about a person says."""

    name: str
    role: Role
    email: str
    squad_keys: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class PersonLine:
    """A person in the list.

    Attributes:
        person: Who.
        squad_names: The coach's squads, in the club's order.
        browsers: How many browsers are signed in.
        has_password: Whether a secretary has set one.
    """

    person: Person
    squad_names: tuple[str, ...]
    browsers: int
    has_password: bool


@dataclass(frozen=True, slots=True)
class SquadChoice:
    """A squad to tick."""

    key: str
    name: str
    coach: str


@dataclass(frozen=True, slots=True)
class PersonPage:
    """A person to look at and change.

    Attributes:
        person: Who.
        version: The change shown; a form sends it back, so that the later of two is told.
        since: When the person was added.
    """

    person: Person
    version: int
    since: datetime


def list_people(store: Store, now: datetime) -> tuple[PersonLine, ...]:
    """List everybody who may sign in: secretaries first, then by name."""
    order = list(Role)
    with store.read() as session:
        rows = session.scalars(
            select(PersonRow)
            .where(PersonRow.ended_at.is_(None))
            .options(selectinload(PersonRow.squads))
        ).all()
        counts = dict(
            session.execute(
                select(BrowserRow.person_id, func.count(BrowserRow.id))
                .where(BrowserRow.ends_at > now)
                .group_by(BrowserRow.person_id)
            ).all()
        )
        return tuple(
            PersonLine(
                person_from_row(row),
                tuple(s.name for s in row.squads) if row.role is Role.COACH else (),
                counts.get(row.id, 0),
                row.password_hash is not None,
            )
            for row in sorted(rows, key=lambda r: (order.index(r.role), plain_name(r.name)))
        )


def squad_choices(store: Store) -> tuple[SquadChoice, ...]:
    """List the squads a coach can look after."""
    with store.read() as session:
        rows = session.scalars(select(SquadRow).order_by(SquadRow.position))
        return tuple(SquadChoice(row.key, row.name, row.coach) for row in rows)


def see_person(store: Store, number: int) -> PersonPage:
    """Show one person.

    Raises:
        MissingError: If there is none, or their access has ended.
    """
    with store.read() as session:
        row = load_person(session, number)
        return PersonPage(person_from_row(row), row.version, row.created_at)


def add_person(store: Store, draft: PersonDraft, now: datetime) -> int:
    """Add somebody who may sign in; return their number.

    Raises:
        FaultyInputError: If the name or e-mail is taken, or a squad is not there.
    """
    with store.write() as session:
        refuse_taken(session, None, draft.name, draft.email)
        row = PersonRow(
            name=draft.name,
            email=draft.email,
            role=draft.role,
            password_hash=None,
            version=0,
            created_at=now,
            ended_at=None,
        )
        row.squads = _squads(session, draft)
        session.add(row)
        session.flush()
        return row.id


def change_person(store: Store, number: int, version: int, draft: PersonDraft) -> None:
    """Change somebody.

    Args:
        store: The database.
        number: Who.
        version: The change that was looked at; a later one stands.
        draft: What shall be.

    Raises:
        FaultyInputError: If the name or e-mail is taken, or a squad is not there.
        MissingError: If the person is gone.
        OutdatedError: If somebody changed the person in the meantime.
        RefusedError: If no secretary would be left.
    """
    with store.write() as session:
        row = _load_version(session, number, version)
        refuse_taken(session, number, draft.name, draft.email)
        if row.role is Role.SECRETARY and draft.role is not Role.SECRETARY:
            _refuse_last_secretary(session, row)
        if row.role is not draft.role:
            row.password_hash = None
            _close_ways(session, number)
        row.name, row.email, row.role = draft.name, draft.email, draft.role
        row.squads = _squads(session, draft)
        row.version += 1


def end_access(store: Store, number: int, version: int, now: datetime) -> str:
    """End somebody's access at once, in every browser; return their name.

    Raises:
        MissingError: If the person is gone.
        OutdatedError: If somebody changed the person in the meantime.
        RefusedError: If no secretary would be left.
    """
    with store.write() as session:
        row = _load_version(session, number, version)
        if row.role is Role.SECRETARY:
            _refuse_last_secretary(session, row)
        row.ended_at, row.password_hash = now, None
        row.squads = []
        row.version += 1
        _close_ways(session, number)
        return row.name


def _close_ways(session: Session, number: int) -> None:
    """End a person's browsers and the addresses still to be used."""
    session.execute(delete(BrowserRow).where(BrowserRow.person_id == number))
    session.execute(delete(SignInRow).where(SignInRow.person_id == number))


def _load_version(session: Session, number: int, version: int) -> PersonRow:
    row = load_person(session, number)
    if row.version != version:
        squads = ", ".join(squad.name for squad in row.squads)
        now = ", ".join(part for part in (row.name, row.email, row.role.value, squads) if part)
        raise OutdatedError(
            _(
                "Somebody has changed this person in the meantime; what stands now is: "
                "%(now)s. Look at it, then make your change again.",
                now=now,
            )
        )
    return row


def _refuse_last_secretary(session: Session, row: PersonRow) -> None:
    others = select(func.count(PersonRow.id)).where(
        PersonRow.role == Role.SECRETARY,
        PersonRow.ended_at.is_(None),
        PersonRow.password_hash.is_not(None),
        PersonRow.id != row.id,
    )
    if not session.scalar(others):
        raise RefusedError(
            _(
                "%(name)s is the only secretary who can sign in; let another one set a "
                "password first.",
                name=row.name,
            )
        )


def _squads(session: Session, draft: PersonDraft) -> list[SquadRow]:
    if draft.role is not Role.COACH:
        return []
    rows = {row.key: row for row in session.scalars(select(SquadRow))}
    return [rows[key] for key in _known(draft.squad_keys, rows)]


def _known(keys: Sequence[str], rows: dict[str, SquadRow]) -> list[str]:
    gone = [key for key in keys if key not in rows]
    if gone:
        text = _("One of the squads no longer exists; look at the list again.")
        raise FaultyInputError([Problem("squads", "no-such-squad", text)])
    return list(dict.fromkeys(keys))
