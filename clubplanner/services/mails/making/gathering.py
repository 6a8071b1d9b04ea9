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

from sqlalchemy import func, or_, select, update
from sqlalchemy.orm import joinedload

from clubplanner.domain.club.told.notices import (
    NotedChange,
    QuietHours,
    due_at,
    is_settled,
    join_changes,
)
from clubplanner.services.addresses.recipients import Recipients
from clubplanner.services.mails.making.contents import stored_change
from clubplanner.services.mails.making.following import correct, no_longer_told, put_right
from clubplanner.services.mails.making.last_told import (
    LastTold,
    MailedAhead,
    forget_what_is_over,
)
from clubplanner.services.rows.snapshot import load_zone
from clubplanner.store.journal.states import state_from_stored
from clubplanner.store.tables.knowing_tables import FollowedRow
from clubplanner.store.tables.notice_tables import MailRow, MailState, NoticeRow
from clubplanner.store.tables.season_tables import ChangedBookingRow
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
    from datetime import datetime

    from sqlalchemy import ColumnElement, Select
    from sqlalchemy.orm import Session

    from clubplanner.outputs.calendars.invitation import Mailbox
    from clubplanner.store.engine import Store

    DueOf = Callable[[Sequence[NotedChange]], datetime]

FORGOTTEN_AFTER = timedelta(days=60)
"""What went by the calendar alone for so long is of no interest any more."""


@dataclass(frozen=True, slots=True)
class _Work:
    """All that mails are made of, loaded at once.

    Attributes:
        wanted: What was noted and goes by mail, by squad, oldest first.
        told: What was said by mail so far of these bookings, and they as they are.
        people: Who is written to.
    """

    wanted: Mapping[int, Sequence[NoticeRow]]
    told: LastTold
    people: Recipients


def gather_mails(store: Store, quiet: QuietHours, now: datetime, *, at_once: bool = False) -> int:
    """Make mails of what people have to hear of by mail, and note that it is told.

    A go of changes becomes one mail a person, about all their squads. Killed at any point it has
    done all of it or nothing.

    Args:
        store: The database.
        quiet: When mails wait.
        now: The present instant.
        at_once: Do not wait for a go of changes to be over.

    Returns:
        How many mails were made.
    """
    with store.read() as session:
        ahead = MailedAhead.ask(session, now)
        squads = _settled(session, ahead, now, at_once=at_once)
        readers = ahead.readers()
        if not squads and not readers:
            return 0  # most rounds: nobody is to hear of anything, and nobody was told
        people = Recipients.load(session, now)
        amiss = ahead.told_of(no_longer_told(people, readers)) | ahead.let_go()
        wanted = _wanted(session, squads, ahead, now)
        numbers = {row.entry.booking_id for rows in wanted.values() for row in rows}
        told = ahead.about(amiss | numbers)
        righted = _PutRight(list(put_right(people, told, now, at_once=at_once)))
        if not squads and not righted.changes:
            return 0
        done = _told_by(session, wanted)
        work = _Work(wanted, told, people)
        zone = load_zone(session)
    mails = _mails_about(work, righted.changes, now, lambda c: due_at(c, now, quiet, zone))
    with store.write() as session:
        if not done <= set(session.scalars(select(NoticeRow.id).where(*_untold_of(squads)))):
            return 0  # somebody else is at it; what is left is told in the next round
        if not righted.note(session):
            return 0
        session.execute(
            update(NoticeRow)
            .where(NoticeRow.told_at.is_(None), NoticeRow.changed_at < now - FORGOTTEN_AFTER)
            .values(told_at=now)
        )
        if done:
            session.execute(
                update(NoticeRow), [{"id": number, "told_at": now} for number in sorted(done)]
            )
        forget_what_is_over(session, now)
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


def _goes_by_mail(ahead: MailedAhead) -> ColumnElement[bool]:
    """Return which notes go by mail: those that are wanted, and of what was mailed before."""
    of_these = select(ChangedBookingRow.id).where(ahead.is_of(ChangedBookingRow.booking_id))
    return or_(NoticeRow.is_wanted.is_(True), NoticeRow.entry_id.in_(of_these))


def _settled(session: Session, ahead: MailedAhead, now: datetime, *, at_once: bool) -> list[int]:
    rows = session.execute(
        select(NoticeRow.squad_id, func.min(NoticeRow.changed_at), func.max(NoticeRow.changed_at))
        .where(NoticeRow.told_at.is_(None), _goes_by_mail(ahead))
        .group_by(NoticeRow.squad_id)
        .order_by(NoticeRow.squad_id)
    )
    return [squad for squad, first, last in rows if at_once or is_settled(first, last, now)]


def _wanted(
    session: Session, squads: Collection[int], ahead: MailedAhead, now: datetime
) -> dict[int, list[NoticeRow]]:
    """Return what goes by mail, by squad, oldest first."""
    query = _notices().where(
        NoticeRow.squad_id.in_(squads),
        _goes_by_mail(ahead),
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


class _PutRight:
    """What has to be said although bookings have not changed; noted so that it is said once."""

    def __init__(self, changes: Sequence[tuple[Mailbox, NotedChange]]) -> None:
        self.changes = changes

    def note(self, session: Session) -> bool:
        """Note it; return whether nobody else has meanwhile."""
        for person, change in self.changes:
            key = (change.number, person.address.lower())
            row = session.get(FollowedRow, key)
            if row is None:
                session.add(
                    FollowedRow(booking_id=key[0], address=key[1], sequence=change.sequence)
                )
            elif row.sequence >= change.sequence:
                return False
            else:
                row.sequence = change.sequence
        return True


def _mails_about(
    work: _Work,
    righted: Iterable[tuple[Mailbox, NotedChange]],
    now: datetime,
    due_of: DueOf,
) -> list[MailRow]:
    """Return the mails to be sent: one a person, about all their squads."""
    people: dict[str, Mailbox] = {}
    changes: dict[str, dict[int, NotedChange]] = defaultdict(dict)
    for person, change in (*_noted_for(work), *righted):
        address = person.address.lower()
        people.setdefault(address, person)
        if is_worth_telling(change, now):
            changes[address].setdefault(change.number, change)
    return [
        make_mail(people[address], list(of_one.values()), now, due_of(list(of_one.values())))
        for address, of_one in changes.items()
    ]


def _noted_for(work: _Work) -> Iterable[tuple[Mailbox, NotedChange]]:
    """Yield what people have to hear of changes that were noted."""
    people = _Groups(work.people)
    for squad_id, rows in work.wanted.items():
        asked_for = {row.entry.booking_id for row in rows if row.is_wanted}
        for noted in join_changes(map(noted_change, rows), all_of_them=True):
            row = work.told.bookings[noted.number]
            for address, person in people[squad_id].items():
                is_known = (address, noted.number) in work.told.said
                if noted.number not in asked_for and not is_known:
                    continue
                is_theirs = address in people[row.squad_id or 0]
                change = correct(address, row, noted.before, work.told, is_theirs=is_theirs)
                if change is not None:
                    yield person, change


class _Groups(dict[int, "dict[str, Mailbox]"]):
    """Who is written to about a squad, by address in small letters; worked out once a squad."""

    def __init__(self, people: Recipients) -> None:
        super().__init__()
        self._people = people

    def __missing__(self, squad_id: int) -> dict[str, Mailbox]:
        told = self._people.told_about(squad_id)
        self[squad_id] = {person.address.lower(): person for person in told}
        return self[squad_id]


def make_mail(
    person: Mailbox, changes: Sequence[NotedChange], now: datetime, due: datetime
) -> MailRow:
    """Write a mail to one person down, to be handed over when it is due."""
    squads = [change.squad_id for change in changes if change.squad_id is not None]
    return MailRow(
        message_id=uuid.uuid4().hex,
        squad_id=squads[0],
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
