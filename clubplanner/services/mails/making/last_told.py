"""What each mail address was last told of each booking, by mail.

What a mail server took is noted with the mail (`note_told`); what waits to be handed over counts as
said, since it will be.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import delete, or_, select
from sqlalchemy.orm import joinedload

from clubplanner.services.mails.making.contents import change_from_stored
from clubplanner.store.journal.states import state_from_stored, stored_state
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.knowing_tables import FollowedRow, MailedRow
from clubplanner.store.tables.notice_tables import MailRow, MailState

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping, Sequence
    from collections.abc import Set as AbstractSet
    from datetime import datetime

    from sqlalchemy import ColumnElement
    from sqlalchemy.orm import InstrumentedAttribute, Session

    from clubplanner.domain.booked.journal import BookingState

KEPT = timedelta(days=60)
"""How long what was told is remembered after the end of the session."""


@dataclass(frozen=True, slots=True)
class Said:
    """What somebody was last told of one booking.

    Attributes:
        address: Their mail address, in small letters.
        name: Who, in words.
        number: The booking's number.
        sequence: The count that was said.
        state: What was said; withdrawn for a cancellation.
    """

    address: str
    name: str
    number: int
    sequence: int
    state: BookingState


@dataclass(frozen=True, slots=True)
class LastTold:
    """What was said by mail of some bookings that are not over.

    Attributes:
        said: What, by address in small letters and the booking's number.
        bookings: The bookings' rows, with their squads, by number.
        followed: By the same as `said`, the count up to which somebody was written to though the
            booking itself had not changed.
    """

    said: Mapping[tuple[str, int], Said]
    bookings: Mapping[int, BookingRow]
    followed: Mapping[tuple[str, int], int]


@dataclass(frozen=True, slots=True)
class MailedAhead:
    """All that was said by mail of bookings that are, or were said to be, ahead or running.

    Nothing of it is loaded but what waits to be handed over: a whole season may have been told, and
    each round of the worker asks.

    Attributes:
        waiting: What is said by mails that no server took so far, the oldest first.
    """

    session: Session
    now: datetime
    waiting: Sequence[Said]

    @classmethod
    def ask(cls, session: Session, now: datetime) -> MailedAhead:
        """Load what waits."""
        mails = session.scalars(
            select(MailRow).where(MailRow.state == MailState.WAITING).order_by(MailRow.id)
        )
        return cls(session, now, [one for mail in mails for one in _said_by(mail)])

    def is_of(self, number: InstrumentedAttribute[int]) -> ColumnElement[bool]:
        """Return the condition for a column to be the number of a booking that was told of."""
        took = select(MailedRow.booking_id).join(MailedRow.booking).where(self._is_ahead())
        return or_(number.in_(took), number.in_(sorted({one.number for one in self.waiting})))

    def readers(self) -> dict[int | None, set[str]]:
        """Return the addresses that were told of bookings, by the squad that each is of now."""
        found: dict[int | None, set[str]] = defaultdict(set)
        took = select(BookingRow.squad_id, MailedRow.address).join(MailedRow.booking).distinct()
        for squad_id, address in self.session.execute(took.where(self._is_ahead())):
            found[squad_id].add(address)
        squads = _squads_of(self.session, {one.number for one in self.waiting})
        for one in self.waiting:
            found[squads[one.number]].add(one.address)
        return found

    def told_of(self, readers: Mapping[int | None, AbstractSet[str]]) -> set[int]:
        """Return the numbers of the bookings of these squads that these addresses were told of."""
        addresses: set[str] = set().union(*readers.values())
        if not addresses:
            return set()
        rows = self.session.execute(
            select(MailedRow.booking_id, BookingRow.squad_id, MailedRow.address)
            .join(MailedRow.booking)
            .where(self._is_ahead(), MailedRow.address.in_(sorted(addresses)))
        )
        numbers = {number for number, squad, address in rows if address in readers.get(squad, ())}
        return numbers | {one.number for one in self.waiting if one.address in addresses}

    def let_go(self) -> set[int]:
        """Return the numbers of bookings that somebody was written to of without their change."""
        rows = self.session.scalars(
            select(FollowedRow.booking_id)
            .join(BookingRow, FollowedRow.booking_id == BookingRow.id)
            .where(BookingRow.ends_at > self.now)
        )
        return set(rows)

    def about(self, numbers: Collection[int]) -> LastTold:
        """Load what was said of bookings."""
        rows = self.session.scalars(
            select(MailedRow)
            .join(MailedRow.booking)
            .where(self._is_ahead(), MailedRow.booking_id.in_(sorted(numbers)))
        )
        told = [
            Said(row.address, row.name, row.booking_id, row.sequence, state_from_stored(row.state))
            for row in rows
        ]
        said: dict[tuple[str, int], Said] = {}
        for one in (*told, *(one for one in self.waiting if one.number in numbers)):
            before = said.get((one.address, one.number))
            if before is None or before.sequence <= one.sequence:
                said[one.address, one.number] = one
        bookings = load_bookings_told(self.session, numbers)
        return LastTold(said, bookings, _followed(self.session, numbers))

    def _is_ahead(self) -> ColumnElement[bool]:
        """Return the condition for being over neither as it was said nor as it is."""
        return or_(MailedRow.ends_at > self.now, BookingRow.ends_at > self.now)


def load_bookings_told(session: Session, numbers: Collection[int]) -> dict[int, BookingRow]:
    """Load bookings with their squads, by number, in one query."""
    if not numbers:
        return {}
    rows = session.scalars(
        select(BookingRow)
        .where(BookingRow.id.in_(sorted(numbers)))
        .options(joinedload(BookingRow.squad))
    )
    return {row.id: row for row in rows}


def note_told(session: Session, mail: MailRow, now: datetime) -> None:
    """Note what a mail told, once a mail server has taken it."""
    for one in _said_by(mail):
        row = session.get(MailedRow, (one.number, one.address))
        if row is None:
            row = MailedRow(booking_id=one.number, address=one.address, sequence=-1)
            session.add(row)
        if row.sequence <= one.sequence:  # an older mail may arrive after a newer one
            row.name, row.sequence = one.name, one.sequence
            row.state, row.ends_at = stored_state(one.state), one.state.ends_at
            row.mailed_at = now


def is_overtaken(session: Session, mail: MailRow) -> bool:
    """Tell whether all that a mail tells has been told anew to its reader meanwhile."""
    said = _said_by(mail)
    rows = session.execute(
        select(MailedRow.booking_id, MailedRow.sequence).where(
            MailedRow.address == mail.address.lower(),
            MailedRow.booking_id.in_([one.number for one in said]),
        )
    )
    counts = {row.booking_id: row.sequence for row in rows}
    return all(counts.get(one.number, -1) > one.sequence for one in said)


def forget_what_is_over(session: Session, now: datetime) -> None:
    """Drop what was told of sessions that are long over."""
    session.execute(delete(MailedRow).where(MailedRow.ends_at < now - KEPT))
    over = select(BookingRow.id).where(BookingRow.ends_at < now - KEPT)
    session.execute(delete(FollowedRow).where(FollowedRow.booking_id.in_(over)))


def _said_by(mail: MailRow) -> list[Said]:
    changes = [change_from_stored(each) for each in mail.changes]
    address = mail.address.lower()
    return [Said(address, mail.name, c.number, c.sequence, c.after) for c in changes]


def _squads_of(session: Session, numbers: Collection[int]) -> dict[int, int | None]:
    if not numbers:
        return {}
    query = select(BookingRow.id, BookingRow.squad_id).where(BookingRow.id.in_(sorted(numbers)))
    return dict(session.execute(query).all())


def _followed(session: Session, numbers: Collection[int]) -> dict[tuple[str, int], int]:
    rows = session.execute(
        select(FollowedRow.address, FollowedRow.booking_id, FollowedRow.sequence).where(
            FollowedRow.booking_id.in_(sorted(numbers))
        )
    )
    return {(address, number): sequence for address, number, sequence in rows}
