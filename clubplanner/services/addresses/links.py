"""Unguessable addresses for squads. Only hashes are stored."""

from __future__ import annotations

import hashlib
import secrets
from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.errors import MissingError
from clubplanner.language import _, marked, term
from clubplanner.outputs.drawings.qr import draw_qr
from clubplanner.services.rows.named import find_squad
from clubplanner.store.journal.journal import describe_change
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.link_tables import LinkRow, SessionLinkRow
from clubplanner.store.tables.people_tables import FormSecretRow

if TYPE_CHECKING:
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.store.engine import Store
    from clubplanner.store.tables.squad_tables import SquadRow

SECRET_BYTES = 24
"""192 bits: nobody guesses one."""
LONGEST_SECRET = 200
OPEN_AFTER = timedelta(hours=1)
"""How long after a session's end its address opens: kit is counted and the last child fetched
(common practice, no source)."""

_GONE = marked("This address is not (or no longer) in use; ask the club's secretary for a new one.")


def create_squad_link(store: Store, squad_key: str, holder: str, now: datetime) -> str:
    """Make a new address for a squad and return its secret part, which is not kept.

    Args:
        store: The database.
        squad_key: Which squad.
        holder: For whom, in words, so that it can be revoked by name.
        now: The present instant.

    Raises:
        MissingError: If there is no such squad.
    """
    secret = secrets.token_urlsafe(SECRET_BYTES)
    with store.write() as session:
        squad = find_squad(session, squad_key)
        session.add(new_link(hash_secret(secret), holder, now, squad_id=squad.id))
        describe_change(
            session,
            _("made an address of %(subject)s for %(holder)s", subject=squad.name, holder=holder),
        )
    return secret


def new_link(
    secret_hash: str,
    holder: str,
    now: datetime,
    *,
    squad_id: int | None = None,
    person_id: int | None = None,
) -> LinkRow:
    """Return a new address of a squad or of a coach, to which no mails go."""
    return LinkRow(
        squad_id=squad_id,
        person_id=person_id,
        secret_hash=secret_hash,
        holder=holder,
        email="",
        reminder_minutes=None,
        mail_id=None,
        created_at=now,
        revoked_at=None,
    )


def draw_squad_code(address: str, holder: str) -> str:
    """Draw a squad's address as a code to scan; an SVG element."""
    return draw_qr(address, _("The address for %(holder)s", holder=holder))


def revoke_squad_links(store: Store, squad_key: str, now: datetime) -> int:
    """Make every address of a squad useless, those of its sessions too; return how many opened.

    Raises:
        MissingError: If there is no such squad.
    """
    with store.write() as session:
        squad = find_squad(session, squad_key)
        rows = session.scalars(
            select(LinkRow).where(LinkRow.squad_id == squad.id, LinkRow.revoked_at.is_(None))
        ).all()
        of_sessions = session.scalars(
            select(SessionLinkRow)
            .join(SessionLinkRow.booking)
            .where(BookingRow.squad_id == squad.id, SessionLinkRow.revoked_at.is_(None))
        ).all()
        for row in rows:
            row.revoked_at = now
        for passed in of_sessions:
            passed.revoked_at = now
        describe_change(session, _("withdrew the addresses of %(subject)s", subject=squad.name))
        return len(rows) + sum(not is_ended(one.booking.ends_at, now) for one in of_sessions)


def is_ended(ends_at: datetime, now: datetime) -> bool:
    """Tell whether the address of a session that ends at an instant opens nothing any more."""
    return now >= ends_at + OPEN_AFTER


@dataclass(frozen=True, slots=True)
class OwnSquad:
    """A squad looked at by somebody signed in who looks after it; the web app has checked that.

    Attributes:
        key: Which squad.
    """

    key: str


@dataclass(frozen=True, slots=True)
class OneSession(OwnSquad):
    """One session of a squad, looked at by whoever takes it in the coach's place.

    Attributes:
        number: Of the booking.
    """

    number: int


def squad_of_secret(session: Session, secret: str | OwnSquad) -> SquadRow:
    """Return the squad an address belongs to, or the one that somebody looks after.

    Raises:
        MissingError: If the address is unknown, revoked or no squad's; they look the same.
    """
    if isinstance(secret, OwnSquad):
        return find_squad(session, secret.key)
    squad = link_of_secret(session, secret).squad
    if squad is None:
        raise MissingError(term(_GONE))
    return squad


def link_of_secret(session: Session, secret: str) -> LinkRow:
    """Return the row of an address.

    Raises:
        MissingError: If the address is unknown or revoked; the two look the same.
    """
    if len(secret) > LONGEST_SECRET:
        raise MissingError(term(_GONE))
    row = session.scalars(
        select(LinkRow).where(
            LinkRow.secret_hash == hash_secret(secret), LinkRow.revoked_at.is_(None)
        )
    ).first()
    if row is None:
        raise MissingError(term(_GONE))
    return row


def load_form_secret(store: Store) -> str:
    """Return the secret that protects forms, made at first use and kept in the database."""
    with store.read() as session:
        row = session.get(FormSecretRow, 1)
        if row is not None:
            return row.value
    with store.write() as session:
        row = session.get(FormSecretRow, 1)
        if row is None:
            row = FormSecretRow(id=1, value=secrets.token_urlsafe(SECRET_BYTES))
            session.add(row)
        return row.value


def hash_secret(secret: str) -> str:
    """Return what is stored of a secret: SHA-256, as a random secret needs no slow hash."""
    return hashlib.sha256(secret.encode()).hexdigest()
