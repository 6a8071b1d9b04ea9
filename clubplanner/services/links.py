"""Unguessable addresses for squads, and the secretary's way in. Only hashes are stored."""

from __future__ import annotations

import hashlib
import secrets
from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.errors import MissingError
from clubplanner.outputs.qr import draw_qr
from clubplanner.store.tables import FormSecretRow, SecretaryKeyRow, SquadLinkRow, SquadRow

if TYPE_CHECKING:
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.store.engine import Store

SECRET_BYTES = 24
"""192 bits: nobody guesses one."""
KEY_HOURS = 12
BROWSER_DAYS = 30
LONGEST_SECRET = 200

_GONE = "This address is not (or no longer) in use; ask the club's secretary for a new one."


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
        session.add(
            SquadLinkRow(
                squad_id=squad.id,
                secret_hash=hash_secret(secret),
                holder=holder,
                created_at=now,
                revoked_at=None,
            )
        )
    return secret


def draw_squad_code(address: str, holder: str) -> str:
    """Draw a squad's address as a code to scan; an SVG element."""
    return draw_qr(address, f"The address for {holder}")


def revoke_squad_links(store: Store, squad_key: str, now: datetime) -> int:
    """Make every address of a squad useless; return how many there were.

    Raises:
        MissingError: If there is no such squad.
    """
    with store.write() as session:
        squad = find_squad(session, squad_key)
        rows = session.scalars(
            select(SquadLinkRow).where(
                SquadLinkRow.squad_id == squad.id, SquadLinkRow.revoked_at.is_(None)
            )
        ).all()
        for row in rows:
            row.revoked_at = now
        return len(rows)


def find_squad(session: Session, squad_key: str) -> SquadRow:
    """Return the squad of a key or name.

    Raises:
        MissingError: Naming the squads there are.
    """
    wanted = squad_key.strip().lower()
    rows = session.scalars(select(SquadRow).order_by(SquadRow.position)).all()
    for row in rows:
        if wanted in (row.key, row.name.lower()):
            return row
    known = ", ".join(row.key for row in rows) or "none yet"
    raise MissingError(f"There is no squad “{squad_key}”; the squads are: {known}.")


def squad_of_secret(session: Session, secret: str) -> SquadRow:
    """Return the squad an address belongs to.

    Raises:
        MissingError: If the address is unknown or revoked; the two look the same.
    """
    if len(secret) > LONGEST_SECRET:
        raise MissingError(_GONE)
    row = session.scalars(
        select(SquadLinkRow).where(
            SquadLinkRow.secret_hash == hash_secret(secret), SquadLinkRow.revoked_at.is_(None)
        )
    ).first()
    if row is None:
        raise MissingError(_GONE)
    return row.squad


def create_secretary_key(store: Store, now: datetime) -> str:
    """Make a one-time key with which a secretary signs in; it lapses after twelve hours."""
    return _create_key(store, now, now + timedelta(hours=KEY_HOURS), is_browser=False)


def sign_in_secretary(store: Store, key: str, now: datetime) -> str:
    """Use up a one-time key and return the secret a browser keeps.

    Raises:
        MissingError: If the key is unknown, used or lapsed.
    """
    with store.write() as session:
        row = _find_key(session, key, now, is_browser=False)
        if row is None:
            raise MissingError(
                "This sign-in address has been used or has lapsed; print a new one with "
                "“clubplanner secretary”."
            )
        session.delete(row)
    return _create_key(store, now, now + timedelta(days=BROWSER_DAYS), is_browser=True)


def is_secretary(store: Store, browser_secret: str, now: datetime) -> bool:
    """Tell whether a browser's secret is one of a signed-in secretary."""
    if not browser_secret:
        return False
    with store.read() as session:
        return _find_key(session, browser_secret, now, is_browser=True) is not None


def sign_out_secretary(store: Store, browser_secret: str, now: datetime) -> None:
    """End a browser's sign-in at the server."""
    with store.write() as session:
        row = _find_key(session, browser_secret, now, is_browser=True)
        if row is not None:
            session.delete(row)


def load_form_secret(store: Store) -> str:
    """Return the secret that protects forms, made at first use and kept in the database."""
    with store.write() as session:
        row = session.get(FormSecretRow, 1)
        if row is None:
            row = FormSecretRow(id=1, value=secrets.token_urlsafe(SECRET_BYTES))
            session.add(row)
        return row.value


def hash_secret(secret: str) -> str:
    """Return what is stored of a secret: SHA-256, as a random secret needs no slow hash."""
    return hashlib.sha256(secret.encode()).hexdigest()


def _create_key(store: Store, now: datetime, ends_at: datetime, *, is_browser: bool) -> str:
    secret = secrets.token_urlsafe(SECRET_BYTES)
    with store.write() as session:
        session.add(
            SecretaryKeyRow(
                secret_hash=hash_secret(secret),
                is_browser=is_browser,
                created_at=now,
                ends_at=ends_at,
            )
        )
    return secret


def _find_key(
    session: Session, secret: str, now: datetime, *, is_browser: bool
) -> SecretaryKeyRow | None:
    if len(secret) > LONGEST_SECRET:
        return None
    return session.scalars(
        select(SecretaryKeyRow).where(
            SecretaryKeyRow.secret_hash == hash_secret(secret),
            SecretaryKeyRow.is_browser.is_(is_browser),
            SecretaryKeyRow.ends_at > now,
        )
    ).first()
