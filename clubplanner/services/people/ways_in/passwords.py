"""The secretary's password, first set through an address that is printed once on the console."""

from __future__ import annotations

import secrets
import threading
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError
from sqlalchemy import delete, select

from clubplanner.domain.club.people import Role
from clubplanner.domain.problems import Problem
from clubplanner.errors import FaultyInputError, MissingError, RefusedError
from clubplanner.language import _, marked, term
from clubplanner.services.addresses.links import LONGEST_SECRET, SECRET_BYTES, hash_secret
from clubplanner.services.people.drafts import email_fault
from clubplanner.services.people.ways_in.browsers import open_browser
from clubplanner.services.people.ways_in.known_browsers import known_browser
from clubplanner.services.people.ways_in.names_taken import refuse_taken
from clubplanner.services.people.ways_in.password_strength import why_weak
from clubplanner.services.people.ways_in.sign_in_links import drop_lapsed, let_in_by
from clubplanner.services.people.ways_in.sign_in_tries import Source, count_try, forget_tries
from clubplanner.services.rows.club.club import club_name
from clubplanner.services.rows.people.people_rows import (
    all_people,
    find_login,
    known_coach,
    load_person,
)
from clubplanner.store.tables.people_tables import BrowserRow, PersonRow, SignInRow

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.store.engine import Store

KEY_HOURS = 12
LEAST_PASSWORD = 12
"""Letters a password must have; our own choice, no source."""
MOST_PASSWORD = 200
KEY_GONE = marked(
    "This sign-in address has been used or has lapsed; print a new one with "
    "“clubplanner people let-in”."
)
WRONG = marked("Name and password do not belong together; check both.")

_HASHER = PasswordHasher()
_AT_WORK = threading.BoundedSemaphore(2)
"""Passwords checked at once: each check takes 64 MB for a tenth of a second."""


@dataclass(frozen=True, slots=True)
class KeyShown:
    """What the page behind a printed address needs.

    Attributes:
        name: The secretary whose password it sets; blank for the first one.
        email: Theirs; blank when not known.
        is_first: Whether they have had no password so far.
    """

    name: str
    email: str
    is_first: bool


def create_secretary_key(store: Store, now: datetime, name: str = "") -> str:
    """Make a one-time key with which a secretary sets a password; it lapses after twelve hours.

    Args:
        store: The database.
        now: The present instant.
        name: Which secretary, by name or e-mail; blank for the only one, or to set up the first.

    Raises:
        MissingError: If no secretary is called so, or if there are several and none is named.
    """
    secret = secrets.token_urlsafe(SECRET_BYTES)
    with store.write() as session:
        drop_lapsed(session, now)
        person = _secretary_of_key(session, name)
        let_in_by(session, None if person is None else person.id, secret, now, KEY_HOURS)
    return secret


def see_secretary_key(store: Store, key: str, now: datetime) -> KeyShown:
    """Return whose password a key sets; looking changes nothing.

    Raises:
        MissingError: If the key is unknown, used or lapsed.
    """
    with store.read() as session:
        person = _usable_key(session, key, now).person
        if person is None:
            return KeyShown("", "", is_first=True)
        return KeyShown(person.name, person.email, is_first=person.password_hash is None)


def set_password(
    store: Store, key: str, name: str, email: str, password: str, about: str, now: datetime
) -> str:
    """Use up a key: set the secretary's name and password, and sign the browser in.

    Every other browser of that secretary is signed out: the password may have been lost.

    Raises:
        FaultyInputError: If name, e-mail or password cannot be used; the key is not used up.
        MissingError: If the key is unknown, used or lapsed.
    """
    beside = [] if name else [Problem("name", "missing", _("Enter your name."))]
    if why := email_fault(email):
        beside.append(Problem("email", "form", why))
    hashed = _hash_good(password, [name, email, club_name(store)], beside=beside)
    with store.write() as session:
        row = _usable_key(session, key, now)
        person = row.person
        if person is None:
            person = _first_secretary(session, name, email, now)
            email = email or person.email
        refuse_taken(session, person.id, name, email)
        person.name, person.email, person.password_hash = name, email, hashed
        session.add(person)
        session.delete(row)
        session.flush()
        session.execute(delete(BrowserRow).where(BrowserRow.person_id == person.id))
        # a first secretary has come in: other addresses that would set up another one are void
        session.execute(delete(SignInRow).where(SignInRow.person_id.is_(None)))
        return open_browser(session, person.id, about, now)


def sign_in_with_password(
    store: Store,
    login: str,
    password: str,
    machine: str,
    about: str,
    now: datetime,
    marks: str = "",
) -> str:
    """Sign a secretary in and return the secret that the browser keeps.

    Args:
        store: The database.
        login: Name or e-mail.
        password: As typed.
        machine: The network address it came from.
        about: What kind of browser it is, in words.
        now: The present instant.
        marks: What the browser keeps of who used it before.

    Raises:
        RefusedError: If they do not belong together; it is not told which of the two is wrong.
        TooManyError: If it was tried too often.
    """
    with store.read() as session:
        row = find_login(session, login)
        number, known = (0, None) if row is None else (row.id, row.password_hash)
    source = Source(machine, known_browser(store, marks, number))
    count_try(store, login, source, now)
    is_right = _is_right(known or _nobodys_hash(), password[:MOST_PASSWORD])
    if known is None or not is_right:
        raise RefusedError(term(WRONG))
    with store.write() as session:
        person = load_person(session, number)
        if person.password_hash != known:
            raise RefusedError(term(WRONG))
        if _HASHER.check_needs_rehash(known):
            person.password_hash = _HASHER.hash(password)
        secret = open_browser(session, person.id, about, now)
    forget_tries(store, login, source)
    return secret


def change_password(store: Store, person_number: int, old: str, new: str, now: datetime) -> None:
    """Change a secretary's own password.

    Raises:
        FaultyInputError: If the old one is wrong or the new one cannot be used.
        MissingError: If the person is gone.
        TooManyError: If a wrong one was typed too often; it is not looked at.
    """
    source = Source(browser=f"that changes the password of {person_number}")
    count_try(store, "", source, now)
    with store.read() as session:
        person = load_person(session, person_number)
        name, email, known = person.name, person.email, person.password_hash
    if known is None or not _is_right(known, old[:MOST_PASSWORD]):
        text = _("This is not your present password; type it again.")
        raise FaultyInputError([Problem("old", "wrong", text)])
    forget_tries(store, "", source)
    hashed = _hash_good(new, [name, email, club_name(store)], where="new")
    with store.write() as session:
        load_person(session, person_number).password_hash = hashed


def _hash_good(
    password: str, own_names: list[str], where: str = "password", beside: Sequence[Problem] = ()
) -> str:
    """Hash a password that is good enough, outside any transaction: it takes its time.

    Args:
        password: As typed.
        own_names: Names that anybody knows.
        where: The field of the password.
        beside: What is wrong with the fields before it, to be told at once.
    """
    problems = list(beside)
    if not LEAST_PASSWORD <= len(password) <= MOST_PASSWORD:
        text = _(
            "Choose a password of %(least_password)s to %(most_password)s letters, such "
            "as four words.",
            least_password=LEAST_PASSWORD,
            most_password=MOST_PASSWORD,
        )
        problems.append(Problem(where, "length", text))
    elif why := why_weak(password, own_names):
        problems.append(Problem(where, "weak", why))
    if problems:
        raise FaultyInputError(problems)
    return _HASHER.hash(password)


def _is_right(known: str, password: str) -> bool:
    try:
        with _AT_WORK:
            return _HASHER.verify(known, password)
    except (VerificationError, InvalidHashError):
        return False


@cache
def _nobodys_hash() -> str:
    """Return a hash to compare with when nobody is meant, so that both take equally long."""
    return _HASHER.hash(secrets.token_urlsafe(SECRET_BYTES))


def _first_secretary(session: Session, name: str, email: str, now: datetime) -> PersonRow:
    """Return the row of the first secretary: theirs if they coach already, else a new one."""
    known = known_coach(session, name, email)
    if known is not None:
        known.role, known.may_sign_in, known.ended_at = Role.SECRETARY, True, None
        known.version += 1
        return known
    return PersonRow(
        role=Role.SECRETARY,
        email="",
        phone="",
        may_sign_in=True,
        version=0,
        created_at=now,
        ended_at=None,
    )


def has_secretary(store: Store) -> bool:
    """Tell whether anybody is the club's secretary."""
    with store.read() as session:
        return any(row.role is Role.SECRETARY for row in all_people(session))


def _secretary_of_key(session: Session, name: str) -> PersonRow | None:
    if name:
        person = find_login(session, name)
        if person is None or person.role is not Role.SECRETARY:
            raise MissingError(_("There is no secretary “%(name)s”; check the name.", name=name))
        return person
    known = [row for row in all_people(session) if row.role is Role.SECRETARY]
    if len(known) > 1:
        names = ", ".join(row.name for row in known)
        raise MissingError(
            _("There are several secretaries (%(names)s); say which with --name.", names=names)
        )
    return known[0] if known else None


def _usable_key(session: Session, key: str, now: datetime) -> SignInRow:
    if len(key) > LONGEST_SECRET:
        raise MissingError(term(KEY_GONE))
    row = session.scalars(
        select(SignInRow).where(
            SignInRow.secret_hash == hash_secret(key),
            SignInRow.ends_at > now,
        )
    ).first()
    is_key = row is not None and (row.person is None or row.person.role is Role.SECRETARY)
    if row is None or not is_key or (row.person is not None and not row.person.may_sign_in):
        raise MissingError(term(KEY_GONE))
    return row
