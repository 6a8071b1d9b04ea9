"""From the outbox to mails: who is written to, about what, and when.

All is read at once and worked out while others may read and write; one short transaction then makes
sure that nobody else has told of it meanwhile, notes it as told and keeps the mails, all of it or
nothing. However many squads and changes there are, the database is asked as often; each mail is one
statement more.
"""

from __future__ import annotations

import uuid
from collections import defaultdict
from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import func, select, update
from sqlalchemy.orm import joinedload

from clubplanner.domain.club.notices import (
    NotedChange,
    QuietHours,
    due_at,
    is_settled,
    join_changes,
)
from clubplanner.outputs.calendars.invitation import Mailbox
from clubplanner.services.mails.contents import stored_change
from clubplanner.services.rows.coach_rows import coaches_of
from clubplanner.services.rows.snapshot import load_zone
from clubplanner.store.states import state_from_stored
from clubplanner.store.tables.link_tables import LinkRow
from clubplanner.store.tables.notice_tables import MailOffRow, MailRow, MailState, NoticeRow
from clubplanner.store.tables.season_tables import ChangedBookingRow
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
    from datetime import datetime

    from sqlalchemy import ColumnElement, Select
    from sqlalchemy.orm import Session

    from clubplanner.domain.club.coaches import Coach
    from clubplanner.store.engine import Store


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
    with store.read() as session:
        squads = _settled(session, now, at_once=at_once)
        if not squads:
            return 0
        wanted = _wanted(session, squads, now)
        told = _told_by(session, wanted)
        people, zone = _People.load(session, squads), load_zone(session)
    mails = _mails_about(wanted, people, now, lambda changes: due_at(changes, now, quiet, zone))
    with store.write() as session:
        if not told <= set(session.scalars(select(NoticeRow.id).where(*_untold_of(squads)))):
            return 0  # somebody else is at it; what is left is told in the next round
        session.execute(
            update(NoticeRow)
            .where(NoticeRow.told_at.is_(None), NoticeRow.changed_at < now - FORGOTTEN_AFTER)
            .values(told_at=now)
        )
        if told:
            session.execute(
                update(NoticeRow), [{"id": number, "told_at": now} for number in sorted(told)]
            )
        session.add_all(mails)
    return len(mails)


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
        squad = SquadRow.key == squad_key
        for row in session.scalars(_notices().where(NoticeRow.squad.has(squad))):
            if not row.is_wanted and is_worth_telling(noted_change(row), now):
                row.is_wanted = True
                count += 1
        return count


def waiting_changes(session: Session) -> list[NoticeRow]:
    """Return what has not been told by mail, oldest first."""
    return list(session.scalars(_notices()))


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


def _notices() -> Select[NoticeRow]:
    """Return the query for what has not been told by mail, oldest first, with all it names."""
    return (
        select(NoticeRow)
        .where(NoticeRow.told_at.is_(None))
        .order_by(NoticeRow.id)
        .options(joinedload(NoticeRow.entry), joinedload(NoticeRow.squad))
    )


def _untold_of(squads: Collection[int]) -> tuple[ColumnElement[bool], ...]:
    return NoticeRow.told_at.is_(None), NoticeRow.squad_id.in_(squads)


def _settled(session: Session, now: datetime, *, at_once: bool) -> list[int]:
    rows = session.execute(
        select(NoticeRow.squad_id, func.min(NoticeRow.changed_at), func.max(NoticeRow.changed_at))
        .where(NoticeRow.told_at.is_(None), NoticeRow.is_wanted.is_(True))
        .group_by(NoticeRow.squad_id)
        .order_by(NoticeRow.squad_id)
    )
    return [squad for squad, first, last in rows if at_once or is_settled(first, last, now)]


def _wanted(session: Session, squads: Collection[int], now: datetime) -> dict[int, list[NoticeRow]]:
    """Return what goes by mail, by squad, oldest first."""
    query = _notices().where(
        NoticeRow.squad_id.in_(squads),
        NoticeRow.is_wanted.is_(True),
        NoticeRow.changed_at >= now - FORGOTTEN_AFTER,
    )
    found: dict[int, list[NoticeRow]] = defaultdict(list)
    for row in session.scalars(query):
        found[row.squad_id].append(row)
    return found


def _told_by(session: Session, wanted: Mapping[int, Sequence[NoticeRow]]) -> set[int]:
    """Return the numbers of all notes that these tell of: what came before is told with them."""
    bookings = {(squad, row.entry.booking_id) for squad, rows in wanted.items() for row in rows}
    notes = session.execute(
        select(NoticeRow.id, NoticeRow.squad_id, ChangedBookingRow.booking_id)
        .join(NoticeRow.entry)
        .where(*_untold_of(wanted))
    )
    return {number for number, squad, booking in notes if (squad, booking) in bookings}


def _mails_about(
    wanted: Mapping[int, Sequence[NoticeRow]],
    people: _People,
    now: datetime,
    due_of: Callable[[Sequence[NotedChange]], datetime],
) -> list[MailRow]:
    """Return the mails to be sent: one a squad and person."""
    mails = []
    for squad_id, rows in wanted.items():
        joined = join_changes(noted_change(row) for row in rows)
        changes = [change for change in joined if is_worth_telling(change, now)]
        if changes:
            told = people.told_about(squad_id)
            mails += [_mail(squad_id, person, changes, now, due_of(changes)) for person in told]
    return mails


@dataclass(frozen=True, slots=True)
class _People:
    """Who is written to.

    Attributes:
        coaches: Of each squad by its number, the first coach first.
        links: Addresses with a mail address, oldest first.
        off: Mail addresses, in small letters, that want none.
    """

    coaches: Mapping[int, Sequence[Coach]]
    links: tuple[LinkRow, ...]
    off: frozenset[str]

    @classmethod
    def load(cls, session: Session, squads: Collection[int]) -> _People:
        """Load everybody who is written to about some squads at once."""
        links = session.scalars(
            select(LinkRow)
            .where(LinkRow.revoked_at.is_(None), LinkRow.email != "")
            .order_by(LinkRow.id)
        )
        off = frozenset(session.scalars(select(MailOffRow.address)))
        return cls(coaches_of(session, squads), tuple(links), off)

    def told_about(self, squad_id: int) -> Iterator[Mailbox]:
        """Yield who is written to about a squad, each address once.

        First coach, assistants, then whoever asked for mails with an address of the squad or of
        one of its coaches.
        """
        coaches = self.coaches.get(squad_id, ())
        numbers = {coach.number for coach in coaches}
        links = [
            link for link in self.links if squad_id == link.squad_id or link.person_id in numbers
        ]
        named = [(coach.name, coach.email) for coach in coaches]
        named += [(link.holder, link.email) for link in links]
        seen = set(self.off)
        for name, address in named:
            if not address or address.lower() in seen:
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
