"""Signed-in browsers: rows that the server can end. Only the hash of a browser's secret is kept."""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import delete, select
from sqlalchemy.orm import joinedload, object_session

from clubplanner.domain.club.clubs_within import Scope
from clubplanner.domain.club.people import Person, Role
from clubplanner.errors import MissingError
from clubplanner.language import _
from clubplanner.services.addresses.links import LONGEST_SECRET, SECRET_BYTES, hash_secret
from clubplanner.services.rows.people.people_rows import role_of
from clubplanner.store.rights import FOLLOWS
from clubplanner.store.tables.people_tables import BrowserRow, PersonRow
from clubplanner.store.tables.squad_tables import SquadRow
from clubplanner.store.tables.within_tables import SquadClubRow

if TYPE_CHECKING:
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.store.engine import Store

BROWSER_DAYS = 30
"""Days after which a browser that is not used has to sign in again."""
LONG_BROWSER_DAYS = 90
"""The same for coaches and groundskeepers, who may do less and rest between seasons."""
MOST_DAYS = 366
"""Days after which a secretary, who may do everything, signs in again though the browser is used: a
season and its break. Coaches and groundskeepers stay signed in: their phones are told by it."""
RENEWED_DAYS = 1
"""Use is noted once in so many days, so that reading pages seldom writes."""


@dataclass(frozen=True, slots=True)
class BrowserShown:
    """A signed-in browser, as its owner or the secretary sees it.

    Attributes:
        number: The row's number.
        about: What kind of browser, in words.
        since: When it was signed in.
        ends_at: When it has to sign in again.
        is_this: Whether it is the one that is looking.
    """

    number: int
    about: str
    since: datetime
    ends_at: datetime
    is_this: bool


@dataclass(frozen=True, slots=True)
class SignedIn:
    """Whose browser it is.

    Attributes:
        person: They.
        is_due: Whether its use should be noted with `renew_browser`.
    """

    person: Person
    is_due: bool


SECRETARIES = (Role.SECRETARY, Role.CLUB_SECRETARY)


def unused_days(role: Role) -> int:
    """Return after how many days without use a browser has to sign in again."""
    return BROWSER_DAYS if role in SECRETARIES else LONG_BROWSER_DAYS


def open_browser(session: Session, person_id: int, about: str, now: datetime) -> str:
    """Sign a browser in and return the secret that it keeps."""
    secret = secrets.token_urlsafe(SECRET_BYTES)
    session.execute(
        delete(BrowserRow).where(BrowserRow.ends_at <= now).execution_options(**{FOLLOWS: True})
    )
    session.add(
        BrowserRow(
            person_id=person_id,
            secret_hash=hash_secret(secret),
            about=about,
            created_at=now,
            ends_at=now
            + timedelta(days=unused_days(role_of(session.get_one(PersonRow, person_id)))),
        )
    )
    return secret


def find_person(store: Store, secret: str, now: datetime) -> Person | None:
    """Return whose browser a secret belongs to; None for nobody's."""
    found = find_signed_in(store, secret, now)
    return None if found is None else found.person


def find_signed_in(store: Store, secret: str, now: datetime) -> SignedIn | None:
    """Return whose browser a secret belongs to, and whether its use is to be noted."""
    if not secret or len(secret) > LONGEST_SECRET:
        return None
    with store.read() as session:
        row = session.scalars(
            select(BrowserRow)
            .where(BrowserRow.secret_hash == hash_secret(secret), BrowserRow.ends_at > now)
            .options(joinedload(BrowserRow.person).joinedload(PersonRow.secretary_of))
        ).first()
        if row is None or not row.person.may_sign_in or _is_over(row, now):
            return None
        end = now + timedelta(days=unused_days(role_of(row.person)) - RENEWED_DAYS)
        return SignedIn(person_from_row(row.person), row.ends_at <= end)


def _is_over(row: BrowserRow, now: datetime) -> bool:
    """Tell whether a browser has been signed in for as long as it may."""
    is_secretary = row.person.role is Role.SECRETARY
    return is_secretary and row.created_at <= now - timedelta(days=MOST_DAYS)


def renew_browser(store: Store, secret: str, now: datetime) -> bool:
    """Note that a signed-in browser is used; return whether it is still signed in."""
    with store.write(brief=True) as session:
        row = session.scalars(
            select(BrowserRow).where(
                BrowserRow.secret_hash == hash_secret(secret), BrowserRow.ends_at > now
            )
        ).first()
        if row is not None and _is_over(row, now):
            return False
        if row is not None:
            row.ends_at = max(row.ends_at, now + timedelta(days=unused_days(role_of(row.person))))
        return row is not None


def person_from_row(row: PersonRow) -> Person:
    """Return a person as a frozen value."""
    is_coach = row.role is Role.COACH
    keys = frozenset(squad.key for squad in row.squads) if is_coach else frozenset()
    if row.secretary_of is None:
        return Person(row.id, row.name, row.role, row.email, keys)
    club = row.secretary_of.club
    session = object_session(row)
    if session is not None:
        of_club = select(SquadClubRow.squad_id).where(SquadClubRow.club_id == club.id)
        keys |= set(session.scalars(select(SquadRow.key).where(SquadRow.id.in_(of_club))))
    scope = Scope(club.id, club.name, row.id)
    return Person(row.id, row.name, Role.CLUB_SECRETARY, row.email, keys, scope)


def list_browsers(
    store: Store, person_number: int, now: datetime, secret: str = ""
) -> tuple[BrowserShown, ...]:
    """List a person's signed-in browsers, newest first.

    Args:
        store: The database.
        person_number: Whose.
        now: The present instant.
        secret: The secret of the browser that is looking, to mark it.
    """
    own = hash_secret(secret)
    with store.read() as session:
        rows = session.scalars(
            select(BrowserRow)
            .where(BrowserRow.person_id == person_number, BrowserRow.ends_at > now)
            .order_by(BrowserRow.created_at.desc(), BrowserRow.id.desc())
        )
        return tuple(
            BrowserShown(r.id, r.about, r.created_at, r.ends_at, r.secret_hash == own) for r in rows
        )


def end_browser(store: Store, person_number: int, number: int) -> None:
    """End one signed-in browser of a person.

    Raises:
        MissingError: If the person has no such browser; another person's is not there either.
    """
    with store.write() as session:
        row = session.get(BrowserRow, number)
        if row is None or row.person_id != person_number:
            raise MissingError(_("This browser is no longer signed in."))
        session.delete(row)


def end_browsers(store: Store, person_number: int, besides: str = "") -> int:
    """End every signed-in browser of a person, but the one of a secret; return how many ended."""
    with store.write() as session:
        rows = session.scalars(
            select(BrowserRow).where(
                BrowserRow.person_id == person_number,
                BrowserRow.secret_hash != hash_secret(besides),
            )
        ).all()
        for row in rows:
            session.delete(row)
        return len(rows)


def sign_out(store: Store, secret: str) -> None:
    """End the browser of a secret at the server; an unknown one changes nothing."""
    with store.write() as session:
        session.execute(delete(BrowserRow).where(BrowserRow.secret_hash == hash_secret(secret)))
