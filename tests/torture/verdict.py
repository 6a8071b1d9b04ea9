"""Ledgers, records and mails held against each other, without asking guard or services."""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass, fields
from itertools import chain, groupby, pairwise
from typing import TYPE_CHECKING, Any, NamedTuple

from sqlalchemy import Row, func, select

from clubplanner.store.journal.states import NOTED, WHY
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.notice_tables import MailRow, MailState, NoticeRow
from clubplanner.store.tables.season_tables import ChangedBookingRow
from tests.torture.ledger import Outcome

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.store.engine import Store
    from tests.torture.ledger import Try
    from tests.torture.post import Post, Telling

LEAF = 2_000
"""Rows that are read at once."""
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


class _Live(NamedTuple):
    """A booking that stands: when, and the cells of its pitch that it takes."""

    starts_at: datetime
    ends_at: datetime
    cells: int


_Entry = Row[tuple[int, int, dict[str, Any] | None, dict[str, Any]]]
"""An entry of the journal: its number, its booking's, what that was and what it became."""


def judge(store: Store, ledgers: Iterable[Iterable[Try]], post: Post) -> Verdict:
    """Hold everything against everything, once all is quiet and all mails are out.

    Journal and bookings are read beside each other by the bookings' numbers, a leaf at a time; what
    is kept of a million changes meanwhile is their marks and numbers alone.
    """
    done: Counter[str] = Counter()
    with store.read() as session:
        noted = set(session.scalars(select(NoticeRow.entry_id)))
        last = _last_told(post)
        live: dict[int, list[_Live]] = defaultdict(list)
        broken = unnoted = wrong = 0
        for row, entries in _chains(session):
            broken += _count_broken(row, entries)
            for entry in entries:
                done[mark_of(entry)] += 1
                unnoted += entry.id not in noted and _is_noticed(entry)
            if row is None:
                continue
            if not row.is_withdrawn:
                live[row.pitch_id].append(_Live(row.starts_at, row.ends_at, row.cells))
            wrong += not _is_as_told(row, last.pop(row.uid, None))
        lost, doubled, against, still_open = _hold_ledgers(ledgers, done)
        return Verdict(
            overlaps=sum(map(_count_overlaps, live.values())),
            lost=lost,
            doubled=doubled,
            against_its_word=against,
            broken=broken,
            unnoted=unnoted,
            untold=wrong + len(last) + _count_unsent(session, post),
            told_twice=_count_told_twice(post),
            open=still_open,
        )


def mark_of(entry: _Entry) -> str:
    """Return the words by which a client's ledger tells what an entry of the journal is."""
    after = dict(entry.after)
    if entry.before is None:
        return str(after["note"])
    why = after.get(WHY) or ["", ""]
    return str(why[1])


def _chains(session: Session) -> Iterator[tuple[Row[Any] | None, Sequence[_Entry]]]:
    """Yield each booking with its entries in their order, and entries that have no booking."""
    entry = ChangedBookingRow
    entries = session.execute(
        select(entry.id, entry.booking_id, entry.before, entry.after)
        .order_by(entry.booking_id, entry.change_id, entry.id)
        .execution_options(yield_per=LEAF)
    )
    columns = [getattr(BookingRow, name) for name in NOTED if name != "holder"]
    rows = session.execute(
        select(BookingRow.id, BookingRow.uid, BookingRow.cells, BookingRow.sequence, *columns)
        .order_by(BookingRow.id)
        .execution_options(yield_per=LEAF)
    )
    row = next(rows, None)
    for number, grouped in groupby(entries, lambda one: one.booking_id):
        while row is not None and row.id < number:
            yield row, ()
            row = next(rows, None)
        is_there = row is not None and row.id == number
        yield row if is_there else None, tuple(grouped)
        row = next(rows, None) if is_there else row
    while row is not None:
        yield row, ()
        row = next(rows, None)


def _hold_ledgers(
    ledgers: Iterable[Iterable[Try]], done: Mapping[str, int]
) -> tuple[int, int, int, int]:
    lost = doubled = against = still_open = 0
    for one in chain.from_iterable(ledgers):
        times = done.get(one.mark, 0)
        lost += one.outcome is Outcome.DONE and times == 0
        doubled += times > 1
        against += one.outcome is Outcome.REFUSED and times > 0
        still_open += one.outcome is Outcome.UNKNOWN
    return lost, doubled, against, still_open


def _count_overlaps(booked: Iterable[_Live]) -> int:
    """Count the pairs on one pitch that share a cell and a moment."""
    found = 0
    running: list[_Live] = []
    for row in sorted(booked):
        running = [one for one in running if one.ends_at > row.starts_at]
        found += sum(bool(one.cells & row.cells) for one in running)
        running.append(row)
    return found


def _count_broken(row: Row[Any] | None, entries: Sequence[_Entry]) -> int:
    """Count what is wrong of one booking and the chain of its entries; either may be missing."""
    if row is None or not entries:
        return 1
    broken = int(entries[0].before is not None)
    broken += sum(_plain(one.after) != _plain(two.before or {}) for one, two in pairwise(entries))
    broken += _plain(entries[-1].after) != _state_of(row)
    return broken + int(row.sequence != len(entries) - 1)


def _state_of(row: Row[Any]) -> dict[str, Any]:
    """Return what the journal keeps of a booking, read from the booking itself."""
    values: dict[str, Any] = {name: getattr(row, name) for name in NOTED if name != "holder"}
    for name in ("starts_at", "ends_at"):
        values[name] = int(values[name].timestamp())
    return _plain({**values, "purpose": str(values["purpose"])})


def _plain(state: Mapping[str, Any]) -> dict[str, Any]:
    """Return what is kept of a booking, without why; what it is called is looked up, not kept."""
    return {name: state.get(name) for name in NOTED if name != "holder"}


def _is_noticed(entry: _Entry) -> bool:
    before, after = entry.before, entry.after
    if after["squad_id"] is None:
        return False
    if before is None:
        return not after["is_withdrawn"]
    if before["is_withdrawn"] and after["is_withdrawn"]:
        return False
    shown = (*SEEN, "is_withdrawn")
    return any(before[name] != after[name] for name in shown)


def _last_told(post: Post) -> dict[str, Telling]:
    """Return the last that was told of each session, by its uid."""
    last: dict[str, Telling] = {}
    for told in post.tellings:
        before = last.get(told.uid)
        if before is None or (told.sequence, told.is_off) >= (before.sequence, before.is_off):
            last[told.uid] = told
    return last


def _is_as_told(row: Row[Any], told: Telling | None) -> bool:
    if told is None:
        return True
    if told.is_off or row.is_withdrawn:
        return told.is_off and bool(row.is_withdrawn)
    return bool(told.starts_at == row.starts_at)


def _count_unsent(session: Session, post: Post) -> int:
    """Count notes nobody dealt with, mails not sent, and mails that never arrived."""
    waiting = session.scalar(
        select(func.count()).where(NoticeRow.told_at.is_(None), NoticeRow.is_wanted)
    )
    sent = session.execute(select(MailRow.message_id, MailRow.state))
    return (waiting or 0) + sum(
        state not in (MailState.SENT, MailState.LAPSED)
        or (state is MailState.SENT and number not in post.messages)
        for number, state in sent
    )


def _count_told_twice(post: Post) -> int:
    tellings: dict[tuple[str, str, int], set[str]] = defaultdict(set)
    for told in post.tellings:
        tellings[told.to, told.uid, told.sequence].add(told.message)
    return sum(len(messages) - 1 for messages in tellings.values())
