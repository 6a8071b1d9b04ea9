"""When somebody last had their page or calendar: noted while it is served.

As long as no calendar has changed (`store.stand`) another look gives nothing new, so that it is
noted once an hour at most.
"""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.services.addresses.links import hash_secret
from clubplanner.store.stand import read_stand
from clubplanner.store.tables.knowing_tables import LookRow
from clubplanner.store.tables.link_tables import LinkRow

if TYPE_CHECKING:
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.store.engine import Store

NOTED_EVERY = timedelta(hours=1)


def note_look(store: Store, looker: int | str, now: datetime, *, feed: bool = False) -> None:
    """Note that somebody had their page, or that their calendar was fetched.

    Args:
        store: The database.
        looker: The number of the person who is signed in, or the secret part of an address.
        now: The present instant.
        feed: Whether it was the calendar.
    """
    with store.read() as session:
        stand = read_stand(session)
        known = _find(session, looker)
        if known is not None and not _is_news(known, stand, now, feed=feed):
            return
    with store.write() as session:
        row = _find(session, looker)
        if row is None:
            row = _begin(session, looker)
            if row is None:
                return
        if feed:
            row.feed_at, row.feed_stand = now, stand
        else:
            row.page_at, row.page_stand = now, stand


def _is_news(row: LookRow, stand: int, now: datetime, *, feed: bool) -> bool:
    at, known = (row.feed_at, row.feed_stand) if feed else (row.page_at, row.page_stand)
    return at is None or known != stand or now - at >= NOTED_EVERY


def _find(session: Session, looker: int | str) -> LookRow | None:
    query = select(LookRow)
    if isinstance(looker, int):
        return session.scalars(query.where(LookRow.person_id == looker)).first()
    is_it = LinkRow.secret_hash == hash_secret(looker)
    return session.scalars(query.join(LookRow.link).where(is_it)).first()


def _begin(session: Session, looker: int | str) -> LookRow | None:
    row = LookRow(page_at=None, page_stand=0, feed_at=None, feed_stand=0)
    if isinstance(looker, int):
        row.person_id = looker
    else:
        row.link_id = session.scalars(
            select(LinkRow.id).where(LinkRow.secret_hash == hash_secret(looker))
        ).first()
        if row.link_id is None:
            return None
    session.add(row)
    return row
