"""Ledgers, records and mails held against each other, without asking guard or services."""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass, fields
from itertools import pairwise
from typing import TYPE_CHECKING, Any

import icalendar
from sqlalchemy import select

from clubplanner.store.states import NOTED, WHY, stored_state
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.notice_tables import MailRow, MailState, NoticeRow
from clubplanner.store.tables.season_tables import ChangedBookingRow
from tests.torture.doors import Outcome

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from email.message import EmailMessage

    from sqlalchemy.orm import Session

    from clubplanner.store.engine import Store
    from tests.torture.client import Try

SEEN = ("pitch_id", "area_id", "starts_at", "ends_at", "purpose", "squad_id", "note")
"""What of a booking shows in a squad's calendar, besides that it is withdrawn."""


@dataclass(frozen=True, slots=True)
class Verdict:
    """What went wrong, each a number that has to be 0.

    Attributes:
        overlaps: Pairs of live bookings that share a cell and a moment.
        lost: Changes that a client was told were done, and the journal does not have.
        doubled: Changes that the journal has more than once.
        against_its_word: Changes that a client was told were refused, and the journal has.
        broken: Entries of the journal that do not begin where the one before ended, bookings that
            are not what their last entry says, and counts that are not those of the changes.
        unnoted: Changes that a squad would notice, and the outbox has no note of.
        untold: Notes nobody dealt with, mails not sent or that never arrived, and sessions of which
            the last mail says something else than what stands.
        told_twice: Different mails that tell one person the same change of one session.
        open: Changes of which a client never learned what became of them.
    """

    overlaps: int
    lost: int
    doubled: int
    against_its_word: int
    broken: int
    unnoted: int
    untold: int
    told_twice: int
    open: int

    @property
    def is_sound(self) -> bool:
        """Whether nothing went wrong."""
        return not any(getattr(self, field.name) for field in fields(self))


def judge(store: Store, ledgers: Iterable[Sequence[Try]], mails: Sequence[EmailMessage]) -> Verdict:
    """Hold everything against everything, once all is quiet and all mails are out."""
    with store.read() as session:
        entries = session.scalars(
            select(ChangedBookingRow).order_by(ChangedBookingRow.change_id, ChangedBookingRow.id)
        ).all()
        bookings = {row.id: row for row in session.scalars(select(BookingRow))}
        stored = {number: stored_state(row) for number, row in bookings.items()}
        lost, doubled, against, still_open = _hold_ledgers(ledgers, entries)
        return Verdict(
            overlaps=_count_overlaps(bookings.values()),
            lost=lost,
            doubled=doubled,
            against_its_word=against,
            broken=_count_broken(entries, bookings, stored),
            unnoted=_count_unnoted(session, entries),
            untold=_count_untold(session, bookings, mails),
            told_twice=_count_told_twice(mails),
            open=still_open,
        )


def mark_of(entry: ChangedBookingRow) -> str:
    """Return the words by which a client's ledger tells what an entry of the journal is."""
    after = dict(entry.after)
    if entry.before is None:
        return str(after["note"])
    why = after.get(WHY) or ["", ""]
    return str(why[1])


def _hold_ledgers(
    ledgers: Iterable[Sequence[Try]], entries: Sequence[ChangedBookingRow]
) -> tuple[int, int, int, int]:
    done = Counter(map(mark_of, entries))
    tries = [one for ledger in ledgers for one in ledger]
    return (
        sum(one.outcome is Outcome.DONE and done[one.mark] == 0 for one in tries),
        sum(done[one.mark] > 1 for one in tries),
        sum(one.outcome is Outcome.REFUSED and done[one.mark] > 0 for one in tries),
        sum(one.outcome is Outcome.UNKNOWN for one in tries),
    )


def _count_overlaps(rows: Iterable[BookingRow]) -> int:
    by_pitch: dict[int, list[BookingRow]] = defaultdict(list)
    for row in rows:
        if not row.is_withdrawn:
            by_pitch[row.pitch_id].append(row)
    found = 0
    for booked in by_pitch.values():
        running: list[BookingRow] = []
        for row in sorted(booked, key=lambda one: one.starts_at):
            running = [one for one in running if one.ends_at > row.starts_at]
            found += sum(bool(one.cells & row.cells) for one in running)
            running.append(row)
    return found


def _count_broken(
    entries: Sequence[ChangedBookingRow],
    bookings: Mapping[int, BookingRow],
    stored: Mapping[int, dict[str, Any]],
) -> int:
    chains: dict[int, list[ChangedBookingRow]] = defaultdict(list)
    for entry in entries:
        chains[entry.booking_id].append(entry)
    broken = len(bookings.keys() ^ chains.keys())
    for number, chain in chains.items():
        broken += chain[0].before is not None
        broken += sum(_plain(one.after) != _plain(two.before or {}) for one, two in pairwise(chain))
        broken += _plain(chain[-1].after) != _plain(stored.get(number, {}))
        broken += number in bookings and bookings[number].sequence != len(chain) - 1
    return broken


def _plain(state: Mapping[str, Any]) -> dict[str, Any]:
    """Return what is kept of a booking, without why; what it is called is looked up, not kept."""
    return {name: state.get(name) for name in NOTED if name != "holder"}


def _count_unnoted(session: Session, entries: Sequence[ChangedBookingRow]) -> int:
    noted = set(session.scalars(select(NoticeRow.entry_id)))
    return sum(entry.id not in noted for entry in entries if _is_noticed(entry))


def _is_noticed(entry: ChangedBookingRow) -> bool:
    before, after = entry.before, entry.after
    if after["squad_id"] is None:
        return False
    if before is None:
        return not after["is_withdrawn"]
    if before["is_withdrawn"] and after["is_withdrawn"]:
        return False
    shown = (*SEEN, "is_withdrawn")
    return any(before[name] != after[name] for name in shown)


def _count_untold(
    session: Session, bookings: Mapping[int, BookingRow], mails: Sequence[EmailMessage]
) -> int:
    waiting = session.scalars(
        select(NoticeRow.id).where(NoticeRow.told_at.is_(None), NoticeRow.is_wanted)
    ).all()
    arrived = {mail["Message-ID"].strip("<>").partition("@")[0] for mail in mails}
    sent = session.execute(select(MailRow.message_id, MailRow.state)).all()
    unsent = sum(
        state not in (MailState.SENT, MailState.LAPSED)
        or (state is MailState.SENT and number not in arrived)
        for number, state in sent
    )
    by_uid = {row.uid: row for row in bookings.values()}
    last: dict[str, tuple[int, str, Any]] = {}
    for mail in mails:
        for _message, uid, sequence, method, starts_at in _events(mail):
            last[uid] = max(last.get(uid, (-1, "", None)), (sequence, method, starts_at))
    wrong = 0
    for uid, (_sequence, method, starts_at) in last.items():
        row = by_uid.get(uid)
        if row is None or (method == "CANCEL") != row.is_withdrawn:
            wrong += 1
        elif not row.is_withdrawn:
            wrong += starts_at != row.starts_at
    return len(waiting) + unsent + wrong


def _count_told_twice(mails: Sequence[EmailMessage]) -> int:
    tellings: dict[tuple[str, str, int], set[str]] = defaultdict(set)
    for mail in mails:
        for message, uid, sequence, _method, _starts_at in _events(mail):
            tellings[str(mail["To"]), uid, sequence].add(message)
    return sum(len(messages) - 1 for messages in tellings.values())


def _events(mail: EmailMessage) -> Iterable[tuple[str, str, int, str, Any]]:
    """Yield a mail's own number, and uid, count, method and start of each session it tells of."""
    number = mail["Message-ID"].strip("<>").partition("@")[0]
    for part in mail.walk():
        if part.get_content_type() != "text/calendar":
            continue
        text: Any = part.get_payload(decode=True)
        calendar = icalendar.Calendar.from_ical(text)
        event: Any = calendar.walk("VEVENT")[0]
        yield (
            number,
            str(event["UID"]),
            int(event["SEQUENCE"]),
            str(calendar["METHOD"]),
            event["DTSTART"].dt,
        )
