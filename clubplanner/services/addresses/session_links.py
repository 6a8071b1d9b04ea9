"""Addresses of one session, for whoever takes it in the coach's place; they end with it.

Only hashes are stored. Where the session goes, the address goes with it: to another place, another
hour, another date, and to what was made in its place. It ends `OPEN_AFTER` the session's end.
"""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.times.times import clock_in_zone, end_clock_in_zone, short_day
from clubplanner.errors import MissingError
from clubplanner.language import _, marked, term
from clubplanner.services.addresses.links import (
    LONGEST_SECRET,
    OPEN_AFTER,
    SECRET_BYTES,
    hash_secret,
)
from clubplanner.services.rows.own_club import own_squads
from clubplanner.services.rows.snapshot import load_zone
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.link_tables import SessionLinkRow

if TYPE_CHECKING:
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.store.engine import Store

_GONE = marked("This address is not (or no longer) in use; ask the squad's coach for a new one.")


@dataclass(frozen=True, slots=True)
class SessionLinkLine:
    """An address of one session that is in use; never the address itself.

    Attributes:
        number: Withdraws it.
        holder: For whom.
        session: Whose session and when, in words.
        made_by: Who handed it out.
        ends: Until when it opens, in words.
        may_count: Whether whoever has it may say with how many the squad comes.
    """

    number: int
    holder: str
    session: str
    made_by: str
    ends: str
    may_count: bool


def add_session_link(
    session: Session,
    booking_id: int,
    holder: str,
    by: str,
    now: datetime,
    *,
    may_count: bool,
) -> str:
    """Make an address of a session and return its secret part, which is not kept.

    Args:
        session: A writing session.
        booking_id: The session's number.
        holder: For whom, in words.
        by: Who hands it out.
        now: The present instant.
        may_count: Whether whoever has it may say with how many the squad comes.
    """
    secret = secrets.token_urlsafe(SECRET_BYTES)
    session.add(
        SessionLinkRow(
            booking_id=booking_id,
            secret_hash=hash_secret(secret),
            holder=holder,
            made_by=by,
            may_count=may_count,
            created_at=now,
            revoked_at=None,
        )
    )
    return secret


def session_link_of_secret(session: Session, secret: str) -> SessionLinkRow:
    """Return the row of an address of a session, also of one that is over.

    Raises:
        MissingError: If the address is unknown or was withdrawn; the two look the same.
    """
    row = None
    if len(secret) <= LONGEST_SECRET:
        is_it = SessionLinkRow.secret_hash == hash_secret(secret)
        query = select(SessionLinkRow).where(is_it, SessionLinkRow.revoked_at.is_(None))
        row = session.scalars(query).first()
    if row is None:
        raise MissingError(term(_GONE))
    return row


def list_session_links(
    store: Store, now: datetime, booking_id: int | None = None
) -> tuple[SessionLinkLine, ...]:
    """Return the addresses of sessions that are in use, the earliest session first.

    Args:
        store: The database.
        now: The present instant: those that have ended are left out.
        booking_id: Only those of this session; None for all.
    """
    query = (
        select(SessionLinkRow)
        .join(SessionLinkRow.booking)
        .where(SessionLinkRow.revoked_at.is_(None), *BookingRow.not_over(now - OPEN_AFTER))
        .order_by(BookingRow.starts_at, SessionLinkRow.id)
    )
    if booking_id is not None:
        query = query.where(SessionLinkRow.booking_id == booking_id)
    with store.read() as session:
        zone = load_zone(session)
        lines = []
        own = own_squads(session, BookingRow.squad_id)
        for row in session.scalars(query.where(*own)):
            starts = row.booking.starts_at.astimezone(zone)
            ends = row.booking.ends_at + OPEN_AFTER
            when = f"{short_day(starts.date())} {clock_in_zone(starts, zone)}"
            lines.append(
                SessionLinkLine(
                    row.id,
                    row.holder,
                    f"{row.booking.holder}, {when}",
                    row.made_by,
                    end_clock_in_zone(ends, zone),
                    row.may_count,
                )
            )
        return tuple(lines)


def withdraw_session_link(store: Store, number: int, now: datetime) -> str:
    """Make one address of a session useless; return whose it was.

    Raises:
        MissingError: If it is not in use.
    """
    with store.write() as session:
        row = session.get(SessionLinkRow, number)
        if row is None or row.revoked_at is not None:
            raise MissingError(_("This address has been withdrawn already."))
        row.revoked_at = now
        return row.holder
