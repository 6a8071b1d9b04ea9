"""From the outbox to notices on phones: which browser is told of what, and when.

As with mails, all is read and worked out first; one short transaction then makes sure that nobody
else has told of it meanwhile, and keeps all of it or nothing.
"""

from __future__ import annotations

from collections import defaultdict
from datetime import timedelta
from typing import TYPE_CHECKING, Any

from sqlalchemy import delete, select, update
from sqlalchemy.orm import joinedload

from clubplanner.domain.club.told.notices import (
    due_at,
    is_settled,
    is_soon,
    join_changes,
)
from clubplanner.services.mails.making.contents import stored_change
from clubplanner.services.mails.making.gathering import is_worth_telling, noted_change
from clubplanner.services.pushes.readers import concerns, forget_ended, load_readers
from clubplanner.services.rows.seasons.squad_seasons import squads_gone_on
from clubplanner.services.rows.snapshot import load_zone
from clubplanner.store.tables.notice_tables import NoticeRow
from clubplanner.store.tables.push_tables import (
    PushedNoticeRow,
    PushReaderRow,
    PushRow,
    PushState,
)

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.domain.club.told.notices import NotedChange, QuietHours
    from clubplanner.store.engine import Store

LOOKED_BACK = timedelta(days=2)
"""What is soon is over by then (`notices.SOON`)."""
FORGOTTEN_AFTER = timedelta(days=30)
"""Notices that were told or lapsed, and notes about notes, are kept as long."""


def gather_pushes(store: Store, quiet: QuietHours, now: datetime, *, at_once: bool = False) -> int:
    """Make notices of what phones have to be told, and note that it is done.

    A squad's go of changes becomes one notice a browser, however many addresses it is told by.
    One that still waits about the same booking gives way to the new one. What was changed before
    a browser asked to be told it is not told.

    Args:
        store: The database.
        quiet: When notices wait.
        now: The present instant.
        at_once: Do not wait for a go of changes to be over.

    Returns:
        How many notices were made.
    """
    with store.read() as session:
        goes = _settled(session, now, at_once=at_once)
        readers = load_readers(session, now) if goes else []
        zone = load_zone(session) if goes else None
        gone_on = squads_gone_on(session, now) if goes else {}
    if zone is None:
        return 0
    pushes = []
    for rows in goes.values():
        noted = [noted_change(row) for row in rows]
        soon = [
            change for change in noted if is_soon(change.before, change.after, change.changed_at)
        ]
        joined = join_changes(soon)  # what somebody wanted mailed besides is no news for a phone
        changes = [change for change in joined if is_worth_telling(change, now)]
        if changes:
            due = due_at(changes, now, quiet, zone)
            told = _told(readers, rows, gone_on)
            pushes += [_push(reader, rows[0].squad_id, changes, now, due) for reader in told]
    done = {row.id for rows in goes.values() for row in rows}
    with store.write() as session:
        if session.scalars(_done_of(done)).first() is not None:
            return 0  # somebody else is at it; what is left is told in the next round
        session.add_all(PushedNoticeRow(notice_id=number, noted_at=now) for number in sorted(done))
        _keep(session, pushes, now)
        _forget_old(session, now)
    return len(pushes)


def _settled(session: Session, now: datetime, *, at_once: bool) -> dict[int, list[NoticeRow]]:
    """Return the notes of what is soon and not told yet, by squad, oldest first."""
    query = (
        select(NoticeRow)
        .where(NoticeRow.is_wanted.is_(True), NoticeRow.changed_at >= now - LOOKED_BACK)
        .where(~select(PushedNoticeRow).where(PushedNoticeRow.notice_id == NoticeRow.id).exists())
        .order_by(NoticeRow.id)
        .options(joinedload(NoticeRow.entry), joinedload(NoticeRow.squad))
    )
    found: dict[int, list[NoticeRow]] = defaultdict(list)
    for row in session.scalars(query):
        found[row.squad_id].append(row)
    return {
        squad: rows
        for squad, rows in found.items()
        if at_once or is_settled(rows[0].changed_at, rows[-1].changed_at, now)
    }


def _told(
    readers: Sequence[PushReaderRow],
    rows: Sequence[NoticeRow],
    gone_on: Mapping[int, frozenset[int]],
) -> Iterator[PushReaderRow]:
    """Yield who is told of a squad's go of changes, each browser once."""
    seen = set()
    last = rows[-1]
    for reader in readers:
        if (
            reader.endpoint not in seen
            and reader.created_at <= last.changed_at
            and concerns(reader, last.squad, gone_on)
        ):
            seen.add(reader.endpoint)
            yield reader


def _done_of(notes: set[int]) -> Any:
    return select(PushedNoticeRow.notice_id).where(PushedNoticeRow.notice_id.in_(notes)).limit(1)


def _push(
    reader: PushReaderRow,
    squad_id: int,
    changes: Sequence[NotedChange],
    now: datetime,
    due: datetime,
) -> PushRow:
    return PushRow(
        reader_id=reader.id,
        squad_id=squad_id,
        changes=[stored_change(change) for change in changes],
        tag=f"booking-{changes[0].number}",
        made_at=now,
        next_try_at=due,
        attempts=0,
        state=PushState.WAITING,
        ended_at=None,
        words="",
    )


def _keep(session: Session, pushes: Sequence[PushRow], now: datetime) -> None:
    """Keep new notices in place of those that still wait about the same bookings."""
    there = set(session.scalars(select(PushReaderRow.id)))  # whoever has ended is told no more
    for push in pushes:
        if push.reader_id not in there:
            continue
        session.execute(
            update(PushRow)
            .where(
                PushRow.reader_id == push.reader_id,
                PushRow.tag == push.tag,
                PushRow.state == PushState.WAITING,
            )
            .values(state=PushState.LAPSED, ended_at=now)
        )
        session.add(push)


def _forget_old(session: Session, now: datetime) -> None:
    forget_ended(session, now)
    before = now - FORGOTTEN_AFTER
    session.execute(delete(PushRow).where(PushRow.ended_at < before))
    session.execute(delete(PushedNoticeRow).where(PushedNoticeRow.noted_at < before))
