"""Tokens of a person's other programs: handed out for a purpose, shown once, withdrawn.

A token opens at the JSON API what its person may do, no more: their role, squads and club are
looked up with each request, so what is taken from them is taken from their programs at once.
"""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import select
from sqlalchemy.orm import joinedload

from clubplanner.domain.problems import Problem
from clubplanner.errors import FaultyInputError, MissingError, RefusedError
from clubplanner.language import _, ngettext
from clubplanner.services.addresses.links import LONGEST_SECRET, SECRET_BYTES, hash_secret
from clubplanner.services.people.ways_in.browsers import person_from_row
from clubplanner.services.rows.own_club import own_people, refuse_other_person
from clubplanner.services.rows.people.people_rows import find_login, load_known_person
from clubplanner.store.journal.journal import describe_change
from clubplanner.store.tables.people_tables import PersonRow
from clubplanner.store.tables.token_tables import TokenRow

if TYPE_CHECKING:
    from datetime import datetime

    from sqlalchemy import ColumnElement
    from sqlalchemy.orm import Session

    from clubplanner.domain.club.people import Person
    from clubplanner.store.engine import Store

LONGEST_PURPOSE = 80
LONGEST_DAYS = 366
"""A season and its break, as for a secretary's browser: then whoever runs the program is asked."""
MOST_TOKENS = 20
"""In use at a time, by one person."""
NOTED_HOURS = 24
"""Use is noted once in so many hours, so that reading seldom writes."""
START = "cp1_"
"""How every token begins, so that one that was put into a file by mistake can be looked for."""


@dataclass(frozen=True, slots=True)
class TokenWish:
    """A token somebody wants.

    Attributes:
        purpose: What for, in words.
        may_change: Whether the program may change things, or read alone.
        days: For how many days it opens, 1 to `LONGEST_DAYS`.
    """

    purpose: str
    may_change: bool
    days: int


@dataclass(frozen=True, slots=True)
class TokenShown:
    """A token in use; the token itself is kept nowhere.

    Attributes:
        number: The row's number.
        person: Whose, by number.
        name: Theirs.
        purpose: What for.
        may_change: Whether the program may change things.
        since: When it was made.
        ends_at: When it ends.
        used_at: About when it was last used, to a day; None for never.
    """

    number: int
    person: int
    name: str
    purpose: str
    may_change: bool
    since: datetime
    ends_at: datetime
    used_at: datetime | None


@dataclass(frozen=True, slots=True)
class Bearer:
    """Who comes in with a token.

    Attributes:
        person: Whose it is, as they are now.
        number: The token's.
        may_change: Whether it may change things.
        is_due: Whether its use should be noted with `note_use`.
    """

    person: Person
    number: int
    may_change: bool
    is_due: bool


def hand_out_token(store: Store, person: int, wish: TokenWish, now: datetime) -> tuple[int, str]:
    """Make a token of a person; return its number and the token, which is not kept.

    Raises:
        FaultyInputError: If purpose or days are missing or too long.
        MissingError: If there is no such person, or their access has ended.
        RefusedError: If they may not sign in, are of another club, or have too many.
    """
    purpose = " ".join(wish.purpose.split())
    _refuse_faults(purpose, wish.days)
    token = START + secrets.token_urlsafe(SECRET_BYTES)
    with store.write() as session:
        row = load_known_person(session, person)
        refuse_other_person(session, row)
        if not row.may_sign_in:
            words = _("%(name)s may not sign in; let them in first.", name=row.name)
            raise RefusedError(words)
        if len(_in_use(session, now, person)) >= MOST_TOKENS:
            raise RefusedError(
                _(
                    "%(name)s has %(count)s tokens in use; withdraw one that no program needs.",
                    name=row.name,
                    count=MOST_TOKENS,
                )
            )
        made = TokenRow(
            person_id=row.id,
            purpose=purpose,
            secret_hash=hash_secret(token),
            may_change=wish.may_change,
            created_at=now,
            ends_at=now + timedelta(days=wish.days),
            used_at=None,
            revoked_at=None,
        )
        session.add(made)
        session.flush()
        describe_change(
            session,
            _("made a token of %(name)s for %(purpose)s", name=row.name, purpose=purpose),
        )
        return made.id, token


def _refuse_faults(purpose: str, days: int) -> None:
    problems = []
    if not purpose or len(purpose) > LONGEST_PURPOSE:
        words = ngettext(
            "Say what the token is for, in at most %(num)s letter.",
            "Say what the token is for, in at most %(num)s letters.",
            LONGEST_PURPOSE,
        )
        problems.append(Problem("purpose", "length", words))
    if not 1 <= days <= LONGEST_DAYS:
        words = ngettext(
            "Enter a number of days, at most %(num)s.",
            "Enter a number of days, at most %(num)s.",
            LONGEST_DAYS,
        )
        problems.append(Problem("days", "range", words))
    if problems:
        raise FaultyInputError(problems)


def find_holder(store: Store, login: str) -> int:
    """Return the number of whom a name or a mail address means, as it signs in.

    Raises:
        MissingError: If it is nobody's who may sign in, or two share the name.
    """
    with store.read() as session:
        row = find_login(session, login)
        if row is None:
            raise MissingError(
                _(
                    "Nobody who may sign in is called “%(name)s”, or several are; write a mail "
                    "address.",
                    name=login,
                )
            )
        return row.id


def list_tokens(store: Store, now: datetime, person: int | None = None) -> tuple[TokenShown, ...]:
    """List tokens in use, newest first.

    Args:
        store: The database.
        now: The present instant.
        person: Whose; None for everybody's, and for the secretary of a club those of its coaches.
    """
    with store.read() as session:
        return tuple(_shown(row) for row in _in_use(session, now, person))


def see_token(store: Store, number: int) -> TokenShown:
    """Show one token.

    Raises:
        MissingError: If there is none.
    """
    with store.read() as session:
        row = session.get(TokenRow, number)
        if row is None:
            raise MissingError(_("This token is no longer in use."))
        return _shown(row)


def withdraw_token(store: Store, number: int, now: datetime, person: int | None = None) -> str:
    """Make a token useless; return what it was for.

    Args:
        store: The database.
        number: The token's.
        now: The present instant.
        person: Whose it has to be; None for anybody's.

    Raises:
        MissingError: If it is in use no longer; another person's is not there either.
        RefusedError: If it is of a person of another club.
    """
    with store.write() as session:
        row = session.get(TokenRow, number)
        if row is None or row.revoked_at is not None or person not in (None, row.person_id):
            raise MissingError(_("This token is no longer in use."))
        refuse_other_person(session, row.person)
        row.revoked_at = now
        describe_change(
            session,
            _(
                "withdrew the token of %(name)s for %(purpose)s",
                name=row.person.name,
                purpose=row.purpose,
            ),
        )
        return row.purpose


def find_bearer(store: Store, token: str, now: datetime) -> Bearer | None:
    """Return who comes in with a token; None for nobody."""
    if not token.startswith(START) or len(token) > LONGEST_SECRET:
        return None
    with store.read() as session:
        row = session.scalars(
            select(TokenRow)
            .where(TokenRow.secret_hash == hash_secret(token), *_is_in_use(now))
            .options(joinedload(TokenRow.person).joinedload(PersonRow.secretary_of))
        ).first()
        if row is None or not row.person.may_sign_in:
            return None
        is_due = row.used_at is None or row.used_at <= now - timedelta(hours=NOTED_HOURS)
        return Bearer(person_from_row(row.person), row.id, row.may_change, is_due)


def note_use(store: Store, number: int, now: datetime) -> None:
    """Note that a token is used; that waits for no disk."""
    with store.write(in_passing=True, brief=True) as session:
        row = session.get(TokenRow, number)
        if row is not None:
            row.used_at = now


def _shown(row: TokenRow) -> TokenShown:
    return TokenShown(
        row.id,
        row.person_id,
        row.person.name,
        row.purpose,
        row.may_change,
        row.created_at,
        row.ends_at,
        row.used_at,
    )


def _in_use(session: Session, now: datetime, person: int | None) -> list[TokenRow]:
    whose = [TokenRow.person_id == person] if person is not None else []
    query = (
        select(TokenRow)
        .where(*_is_in_use(now), *whose, *own_people(session, TokenRow.person_id))
        .options(joinedload(TokenRow.person))
        .order_by(TokenRow.created_at.desc(), TokenRow.id.desc())
    )
    return [row for row in session.scalars(query) if row.person.may_sign_in]


def _is_in_use(now: datetime) -> tuple[ColumnElement[bool], ...]:
    return TokenRow.revoked_at.is_(None), TokenRow.ends_at > now
