"""The journal: every write session notes what bookings were and what they are.

It listens to the session itself, so that no service can forget it: whoever changes a booking row,
by whatever code, leaves a change with its name, instant, before and after, in the same
transaction. States in between (a booking lifted while two squads swap) leave no trace. Statements
that would change many rows past the session are refused.
"""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

from sqlalchemy import event, select

from clubplanner.store.outbox import count_if_forgotten, notices_of
from clubplanner.store.season_tables import ChangedBookingRow, ChangeRow
from clubplanner.store.states import stored_state
from clubplanner.store.tables import BookingRow

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy.orm import ORMExecuteState, Session

CHUNK = 500

_BEFORE, _NEW, _WORDS, _UNDOES, _BY = (
    f"journal_{word}" for word in ["before", "new", "words", "undoes", "by"]
)


def keep_journal(session: Session, by: str) -> None:
    """Let a write session keep the journal.

    Args:
        session: A session whose transaction has begun.
        by: Who is changing things, in words.
    """
    session.info.update({_BY: by, _BEFORE: {}, _NEW: []})
    event.listen(session, "before_flush", _note_before)
    event.listen(session, "before_commit", _write)
    event.listen(session, "after_rollback", _forget)
    event.listen(session, "do_orm_execute", _refuse_bulk)


def describe_change(session: Session, words: str, *, undoes: int | None = None) -> None:
    """Say in words what the transaction is about: "Closed Top pitch: waterlogged".

    Args:
        session: The open write session.
        words: A clause without a full stop.
        undoes: Number of the change that is taken back.
    """
    session.info[_WORDS] = words
    session.info[_UNDOES] = undoes


def _note_before(session: Session, *_: object) -> None:
    """Keep what changed bookings were, from the database itself, before it is written over."""
    before: dict[int, dict[str, Any]] = session.info[_BEFORE]
    fresh = [row for row in session.new if isinstance(row, BookingRow)]
    session.info[_NEW].extend(fresh)
    known = {id(row) for row in session.info[_NEW]}
    numbers = [
        row.id
        for row in session.dirty
        if isinstance(row, BookingRow) and row.id not in before and id(row) not in known
    ]
    table = BookingRow.__table__
    for start in range(0, len(numbers), CHUNK):
        chunk = numbers[start : start + CHUNK]
        for found in session.connection().execute(select(table).where(table.c.id.in_(chunk))):
            before[found.id] = stored_state(found) | {
                "changed_at": found.changed_at,
                "sequence": found.sequence,
            }


def _write(session: Session) -> None:
    session.flush()
    before: dict[int, dict[str, Any]] = session.info[_BEFORE]
    entries: list[ChangedBookingRow] = []
    instants: list[datetime] = []
    for row in session.info[_NEW]:
        entries.append(ChangedBookingRow(booking_id=row.id, before=None, after=stored_state(row)))
        instants.append(row.changed_at)
    for number, was in before.items():
        changed = session.get_one(BookingRow, number)
        changed_at, sequence = was.pop("changed_at"), was.pop("sequence")
        after = stored_state(changed)
        if after != was:
            count_if_forgotten(was, sequence, changed)
            entries.append(
                ChangedBookingRow(
                    booking_id=number, before=was, after=after, area_id=was["area_id"]
                )
            )
            if changed.changed_at != changed_at:
                instants.append(changed.changed_at)
    if entries:
        _add_change(session, entries, instants)
    _forget(session)


def _add_change(
    session: Session, entries: Sequence[ChangedBookingRow], instants: Sequence[datetime]
) -> None:
    session.add(
        ChangeRow(
            at=max(instants, default=datetime.now(UTC)),
            by=session.info[_BY],
            words=session.info.get(_WORDS, ""),
            undoes_id=session.info.get(_UNDOES),
            bookings=list(entries),
        )
    )
    for entry in entries:
        session.add_all(notices_of(entry, session.get_one(BookingRow, entry.booking_id)))
    session.flush()


def _forget(session: Session) -> None:
    session.info.update({_BEFORE: {}, _NEW: []})
    session.info.pop(_WORDS, None)
    session.info.pop(_UNDOES, None)


def _refuse_bulk(state: ORMExecuteState) -> None:
    mapper = state.bind_mapper
    writes = state.is_insert or state.is_update or state.is_delete
    if writes and mapper is not None and mapper.class_ is BookingRow:
        raise RuntimeError("Change booking rows one by one: the journal must see each of them.")
