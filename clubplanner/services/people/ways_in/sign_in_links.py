"""Ways in that work once: asked for by a person, handed over, used up by a button.

Somebody who asks in a browser gets an address that works in that browser alone. Where nobody has
asked, the secretary can hand over an address that belongs to the first browser that uses it.
"""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import delete, func, select

from clubplanner.domain.club.people import Role
from clubplanner.errors import MissingError, RefusedError
from clubplanner.language import _, marked, term
from clubplanner.services.addresses.hints import Hint, hint_secretaries
from clubplanner.services.addresses.links import LONGEST_SECRET, SECRET_BYTES, hash_secret
from clubplanner.services.people.ways_in.browsers import open_browser
from clubplanner.services.people.ways_in.known_browsers import known_browser
from clubplanner.services.people.ways_in.names_taken import refuse_taken
from clubplanner.services.people.ways_in.sign_in_tries import Source, count_try
from clubplanner.services.rows.own_club import own_people, refuse_other_person
from clubplanner.services.rows.people.people_rows import find_login, load_known_person, load_person
from clubplanner.store.rights import FOLLOWS
from clubplanner.store.tables.people_tables import SignInRow

if TYPE_CHECKING:
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.store.engine import Store

ASKED_MINUTES = 30
"""How long a request waits, and how long the address that answers it works."""
HANDED_HOURS = 24
"""How long an address works that nobody asked for: it may lie in a message until the evening."""
MOST_REQUESTS = 5
"""Of one person at a time."""
CODE_DIGITS = 4

GONE = marked("This sign-in address has been used or has lapsed; ask for a new one.")


@dataclass(frozen=True, slots=True)
class Asked:
    """What a browser that asked keeps and shows.

    Attributes:
        code: Digits that the secretary sees too, to tell who asked.
        secret: Binds the answer to this browser.
    """

    code: str
    secret: str


@dataclass(frozen=True, slots=True)
class Request:
    """Somebody waits to be let in.

    Attributes:
        number: The row's number.
        person_number: Who.
        name: Who, in words.
        code: What the waiting browser shows.
        about: What kind of browser it is.
        ends_at: When the request lapses.
        is_answered: Whether an address has been made for it.
    """

    number: int
    person_number: int
    name: str
    code: str
    about: str
    ends_at: datetime
    is_answered: bool


def ask_to_sign_in(
    store: Store, login: str, machine: str, about: str, now: datetime, marks: str = ""
) -> Asked:
    """Note that somebody wants to be let in; the answer is the same whether they are known or not.

    Args:
        store: The database.
        login: The name or e-mail that the secretary has written down.
        machine: The network address it came from.
        about: What kind of browser it is, in words.
        now: The present instant.
        marks: What the browser keeps of who used it before.

    Raises:
        TooManyError: If it was asked too often.
    """
    with store.read() as session:
        found = find_login(session, login)
    browser = "" if found is None else known_browser(store, marks, found.id)
    count_try(store, login, Source(machine, browser), now)
    code = "".join(secrets.choice("0123456789") for _unused in range(CODE_DIGITS))
    asked = Asked(code, secrets.token_urlsafe(SECRET_BYTES))
    with store.write() as session:
        drop_lapsed(session, now)
        person = find_login(session, login)
        if person is None or person.role is Role.SECRETARY or _waiting(session, person.id):
            return asked
        session.add(
            SignInRow(
                person_id=person.id,
                secret_hash=None,
                browser_hash=hash_secret(asked.secret),
                code=code,
                about=about,
                created_at=now,
                ends_at=now + timedelta(minutes=ASKED_MINUTES),
            )
        )
        if not person.email:  # others are answered by mail themselves, where there is a server
            _tell_secretaries(session, person.name, code, now)
    return asked


def _tell_secretaries(session: Session, name: str, code: str, now: datetime) -> None:
    def words() -> tuple[str, str]:
        return _("%(name)s wants to be let in", name=name), _(
            "%(name)s has asked to be let in; their browser shows %(code)s. The request waits for "
            "%(minutes)s minutes here:",
            name=name,
            code=code,
            minutes=ASKED_MINUTES,
        )

    ends_at = now + timedelta(minutes=ASKED_MINUTES)
    hint_secretaries(session, Hint(f"sign-in {name}", "/desk/people", ends_at, words), now)


def list_requests(store: Store, now: datetime) -> tuple[Request, ...]:
    """List who waits to be let in, the longest first."""
    with store.read() as session:
        rows = session.scalars(
            select(SignInRow)
            .where(SignInRow.browser_hash.is_not(None), SignInRow.ends_at > now)
            .where(*own_people(session, SignInRow.person_id))
            .order_by(SignInRow.created_at, SignInRow.id)
        )
        return tuple(
            Request(
                number=row.id,
                person_number=row.person.id,
                name=row.person.name,
                code=row.code,
                about=row.about,
                ends_at=row.ends_at,
                is_answered=row.secret_hash is not None,
            )
            for row in rows
            if row.person is not None
        )


def answer_request(store: Store, number: int, now: datetime) -> tuple[str, str]:
    """Make the address that answers a request; an earlier answer to it stops working.

    Returns:
        The secret part of the address, which is not kept, and the person's name.

    Raises:
        MissingError: If the request has lapsed or was used.
    """
    secret = secrets.token_urlsafe(SECRET_BYTES)
    with store.write() as session:
        row = session.get(SignInRow, number)
        if row is None or row.person is None or row.browser_hash is None or row.ends_at <= now:
            raise MissingError(_("This request has lapsed; let the person ask again."))
        refuse_other_person(session, row.person)
        row.secret_hash = hash_secret(secret)
        row.ends_at = now + timedelta(minutes=ASKED_MINUTES)
        return secret, row.person.name


def hand_over_link(store: Store, person_number: int, now: datetime) -> str:
    """Make an address for somebody who has not asked; earlier ones handed over stop working.

    A coach who could not sign in so far can from now on.

    Raises:
        FaultyInputError: If somebody else signs in with their name or e-mail.
        MissingError: If there is no such person.
        RefusedError: If it is a secretary, who signs in with a password.
    """
    secret = secrets.token_urlsafe(SECRET_BYTES)
    with store.write() as session:
        person = load_known_person(session, person_number)
        refuse_other_person(session, person)
        if person.role is Role.SECRETARY:
            raise RefusedError(
                _(
                    "A secretary signs in with a password; a new address to set one is printed "
                    "by “clubplanner people let-in”."
                )
            )
        if not person.may_sign_in:
            refuse_taken(session, person.id, person.name, person.email)
            person.may_sign_in, person.ended_at = True, None
            person.version += 1
        session.execute(
            delete(SignInRow).where(
                SignInRow.person_id == person.id, SignInRow.browser_hash.is_(None)
            )
        )
        let_in_by(session, person.id, secret, now, HANDED_HOURS)
    return secret


def see_link(store: Store, secret: str, browser_secret: str, now: datetime) -> str:
    """Return the name of the person a sign-in address is for; looking changes nothing.

    Raises:
        MissingError: If it is unknown, used or lapsed.
        RefusedError: If another browser asked for it.
    """
    with store.read() as session:
        row = _usable(session, secret, browser_secret, now)
        return load_person(session, row.person_id or 0).name


def use_link(store: Store, secret: str, browser_secret: str, about: str, now: datetime) -> str:
    """Use up a sign-in address and return the secret that the browser keeps.

    Args:
        store: The database.
        secret: The secret part of the address.
        browser_secret: What this browser was given when it asked; blank if it did not.
        about: What kind of browser it is, in words.
        now: The present instant.

    Raises:
        MissingError: If it is unknown, used or lapsed.
        RefusedError: If another browser asked for it; it is not used up.
    """
    with store.write() as session:
        row = _usable(session, secret, browser_secret, now)
        person = load_person(session, row.person_id or 0)
        session.delete(row)
        return open_browser(session, person.id, about, now)


def let_in_by(
    session: Session, person_id: int | None, secret: str, now: datetime, hours: int
) -> None:
    """Keep a way in that is handed over: whoever brings the secret comes in with it, once.

    Args:
        session: The open write session.
        person_id: Whose it is; None for the first secretary, who is still to be set up.
        secret: The secret part of the address, of which only a hash is kept.
        now: The present instant.
        hours: For how long it opens something.
    """
    session.add(
        SignInRow(
            person_id=person_id,
            secret_hash=hash_secret(secret),
            browser_hash=None,
            code="",
            about="",
            created_at=now,
            ends_at=now + timedelta(hours=hours),
        )
    )


def drop_lapsed(session: Session, now: datetime) -> None:
    """Drop the ways in whose time has passed."""
    session.execute(
        delete(SignInRow).where(SignInRow.ends_at <= now).execution_options(**{FOLLOWS: True})
    )


def _waiting(session: Session, person_id: int) -> bool:
    """Tell whether a person has as many requests waiting as one may have."""
    query = select(func.count(SignInRow.id)).where(
        SignInRow.person_id == person_id, SignInRow.browser_hash.is_not(None)
    )
    return (session.scalar(query) or 0) >= MOST_REQUESTS


def _usable(session: Session, secret: str, browser_secret: str, now: datetime) -> SignInRow:
    if len(secret) > LONGEST_SECRET:
        raise MissingError(term(GONE))
    row = session.scalars(
        select(SignInRow).where(
            SignInRow.secret_hash == hash_secret(secret),
            SignInRow.person_id.is_not(None),
            SignInRow.ends_at > now,
        )
    ).first()
    if row is None or row.person is None or row.person.role is Role.SECRETARY:
        raise MissingError(term(GONE))
    if row.browser_hash is not None and row.browser_hash != hash_secret(browser_secret):
        raise RefusedError(
            _(
                "This address works only in the browser in which it was asked for. Open it "
                "there, or ask again in this one."
            )
        )
    return row
