"""From the outbox to mails: who is written to, about what, and when; in one transaction."""

from __future__ import annotations

import uuid
from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import func, select, update
from sqlalchemy.orm import selectinload

from clubplanner.domain.notices import (
    NotedChange,
    QuietHours,
    due_at,
    is_settled,
    join_changes,
)
from clubplanner.outputs.invitation import Mailbox
from clubplanner.services.mail_changes import stored_change
from clubplanner.services.mail_off import is_mail_off
from clubplanner.services.snapshot import load_zone
from clubplanner.store.link_tables import LinkRow
from clubplanner.store.notice_tables import MailRow, MailState, NoticeRow
from clubplanner.store.states import state_from_stored

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.store.engine import Store
    from clubplanner.store.tables import SquadRow


FORGOTTEN_AFTER = timedelta(days=60)
"""What went by the calendar alone for so long is of no interest any more."""


def gather_mails(store: Store, quiet: QuietHours, now: datetime, *, at_once: bool = False) -> int:
    """Make mails of what squads have to hear of by mail, and note that it is told.

    A squad's go of changes becomes one mail a person. Killed at any point it has done all of it or
    nothing.

    Args:
        store: The database.
        quiet: When mails wait.
        now: The present instant.
        at_once: Do not wait for a go of changes to be over.

    Returns:
        How many mails were made.
    """
    if not _squads_waiting(store, now, at_once=at_once):
        return 0
    with store.write() as session:
        session.execute(
            update(NoticeRow)
            .where(NoticeRow.told_at.is_(None), NoticeRow.changed_at < now - FORGOTTEN_AFTER)
            .values(told_at=now)
        )
        made = 0
        for squad_id in _settled(session, now, at_once=at_once):
            made += _gather_squad(session, squad_id, quiet, now)
        return made


def want_mail(store: Store, squad_key: str, now: datetime) -> int:
    """Let a squad's changes that only the calendar would tell go by mail too.

    Args:
        store: The database.
        squad_key: Which squad.
        now: The present instant: what is over is left out.

    Returns:
        How many bookings are told of.
    """
    with store.write() as session:
        count = 0
        for row in _untold(session):
            if (
                row.squad.key == squad_key
                and not row.is_wanted
                and is_worth_telling(noted_change(row), now)
            ):
                row.is_wanted = True
                count += 1
        return count


def waiting_changes(session: Session, squad_id: int | None = None) -> list[NoticeRow]:
    """Return what has not been told by mail, oldest first; of one squad or of all."""
    return [row for row in _untold(session) if squad_id in (None, row.squad_id)]


def noted_change(row: NoticeRow) -> NotedChange:
    """Read one note."""
    entry = row.entry
    before = None if entry.before is None else state_from_stored(entry.before)
    after = state_from_stored(entry.after)
    if after.squad_id != row.squad_id:  # it passed on to another squad: for this one it is gone
        after = state_from_stored({**(entry.before or entry.after), "is_withdrawn": True})
    elif before is not None and before.squad_id != row.squad_id:
        before = None
    return NotedChange(entry.booking_id, before, after, row.sequence, row.changed_at)


def is_worth_telling(change: NotedChange, now: datetime) -> bool:
    """Tell whether there is anything left to do for whoever reads it."""
    states = [s for s in (change.before, change.after) if s is not None and not s.is_withdrawn]
    return any(state.ends_at > now for state in states)


def _untold(session: Session) -> list[NoticeRow]:
    rows = session.scalars(
        select(NoticeRow)
        .where(NoticeRow.told_at.is_(None))
        .order_by(NoticeRow.id)
        .options(selectinload(NoticeRow.entry), selectinload(NoticeRow.squad))
    )
    return list(rows)


def _squads_waiting(store: Store, now: datetime, *, at_once: bool) -> list[int]:
    with store.read() as session:
        return _settled(session, now, at_once=at_once)


def _settled(session: Session, now: datetime, *, at_once: bool) -> list[int]:
    rows = session.execute(
        select(NoticeRow.squad_id, func.min(NoticeRow.changed_at), func.max(NoticeRow.changed_at))
        .where(NoticeRow.told_at.is_(None), NoticeRow.is_wanted.is_(True))
        .group_by(NoticeRow.squad_id)
        .order_by(NoticeRow.squad_id)
    )
    return [squad for squad, first, last in rows if at_once or is_settled(first, last, now)]


def _gather_squad(session: Session, squad_id: int, quiet: QuietHours, now: datetime) -> int:
    rows = waiting_changes(session, squad_id)
    wanted = {row.entry.booking_id for row in rows if row.is_wanted}
    for row in rows:
        if row.entry.booking_id in wanted:
            row.told_at = now
    rows = [row for row in rows if row.is_wanted]  # of what came before, the calendar has told
    changes = [
        c for c in join_changes(noted_change(row) for row in rows) if is_worth_telling(c, now)
    ]
    if not changes:
        return 0
    due = due_at(changes, now, quiet, load_zone(session))
    people = list(_people(session, rows[0].squad))
    session.add_all(_mail(squad_id, person, changes, now, due) for person in people)
    return len(people)


def _people(session: Session, squad: SquadRow) -> Iterator[Mailbox]:
    """Yield who is written to about a squad, each address once."""
    links = session.scalars(
        select(LinkRow)
        .where(LinkRow.revoked_at.is_(None), LinkRow.email != "")
        .where((LinkRow.squad_id == squad.id) | (LinkRow.coach == squad.coach))
        .order_by(LinkRow.id)
    )
    named = [(squad.coach, squad.coach_email), *((link.holder, link.email) for link in links)]
    seen: set[str] = set()
    for name, address in named:
        if not address or address.lower() in seen or is_mail_off(session, address):
            continue
        seen.add(address.lower())
        try:
            yield Mailbox(name, address)
        except ValueError:  # loaded before addresses were checked: nothing can be sent there
            continue


def _mail(
    squad_id: int, person: Mailbox, changes: Sequence[NotedChange], now: datetime, due: datetime
) -> MailRow:
    return MailRow(
        message_id=uuid.uuid4().hex,
        squad_id=squad_id,
        address=person.address,
        name=person.name,
        changes=[stored_change(change) for change in changes],
        made_at=now,
        next_try_at=due,
        attempts=0,
        state=MailState.WAITING,
        ended_at=None,
        words="",
    )
