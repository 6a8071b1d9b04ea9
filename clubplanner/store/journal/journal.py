"""The journal: every write session notes what bookings and other records were and what they are.

It listens to the session itself, so that no service can forget it: whoever changes a booking, a
squad or a break, by whatever code, leaves a change with its name, instant, before and after, in
the same transaction. States in between (a booking lifted while two squads swap) leave no trace.
Statements that would change many bookings past the session are refused; of other records, all of
the table are looked at before and after.
"""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

from sqlalchemy import event, select

from clubplanner.domain.booked.journal import is_same_state
from clubplanner.store.chunks import chunks_of
from clubplanner.store.journal.outbox import Entry, NewBooking, count_if_forgotten, put_change
from clubplanner.store.journal.record_sorts import SORT_OF_ROW
from clubplanner.store.journal.records import (
    Key,
    State,
    key_of,
    keys_of_table,
    read_state,
    read_states,
    title_of,
    write_key,
)
from clubplanner.store.journal.states import NOTED, state_from_stored, stored_reason, stored_state
from clubplanner.store.tables.booking_tables import BookingRow

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from sqlalchemy.orm import ORMExecuteState, Session

    from clubplanner.domain.booked.session_state import Reason


_BEFORE, _NEW, _WORDS, _UNDOES, _BY, _RECORDS, _NEW_RECORDS, _MADE, _WHY, _MAILED, _ASKED = (
    f"journal_{word}"
    for word in [
        *["before", "new", "words", "undoes", "by", "records", "new_records", "made", "why"],
        *["mailed", "asked"],
    ]
)
_FRESH, _FRESH_KEYS, _LAST_FRESH = "journal_fresh", "journal_fresh_keys", "journal_last_fresh"
"""Which rows the transaction made, by `id`: they live as long as it; the keys of their records;
those of the last flush, which get their numbers by it."""
_LAST = "journal_last"
"""Bookings to be inserted at the end."""


def keep_journal(sessions: Session | type[Session]) -> None:
    """Let write sessions keep the journal: one, or all of a class.

    With each `begin_journal` has to be called before it changes anything.
    """
    event.listen(sessions, "before_flush", _note_before)
    event.listen(sessions, "before_flush", _note_records)
    event.listen(sessions, "before_commit", _write)
    event.listen(sessions, "after_commit", _tell_made)
    event.listen(sessions, "after_rollback", _lose)
    event.listen(sessions, "do_orm_execute", _mind_bulk)


def begin_journal(session: Session, by: str, made: list[int] | None = None) -> None:
    """Say who is at work, and begin with nothing noted.

    Args:
        session: A session that keeps the journal.
        by: Who is changing things, in words.
        made: Gets the number of each change that is kept, if anybody asks.
    """
    session.info.update({_BY: by, _MADE: [], _ASKED: made})
    _forget(session)


def describe_change(session: Session, words: str, *, undoes: int | None = None) -> None:
    """Say in words what the transaction is about: "Closed Top pitch: waterlogged".

    Args:
        session: The open write session.
        words: A clause without a full stop.
        undoes: Number of the change that is taken back.
    """
    session.info[_WORDS] = words
    session.info[_UNDOES] = undoes


def explain_change(session: Session, reason: Reason, number: int | None = None) -> None:
    """Say why the transaction changes bookings, so that whoever comes for them can be told.

    Args:
        session: The open write session.
        reason: Why.
        number: The booking that it is about; None for all those of which nothing else is said.
    """
    session.info[_WHY][number] = reason


def mail_change(session: Session) -> None:
    """Let all that the transaction changes go by mail, however far ahead it is.

    Args:
        session: The open write session.
    """
    session.info[_MAILED] = True


def note_new_booking(session: Session, row: BookingRow | NewBooking) -> None:
    """Keep that a booking is new which was put into its table past the session.

    A session that fills a club in keeps no journal, and nothing is noted.
    """
    if _NEW in session.info:
        session.info[_NEW].append(row)
        session.info[_FRESH].add(id(row))


def note_last_booking(session: Session, row: BookingRow) -> None:
    """Let the journal insert a booking with its own rows, when all else is written.

    Args:
        session: The open write session.
        row: Without a number; no other part of the session sees it.
    """
    session.info[_LAST].append(row)


def has_last_bookings(session: Session) -> bool:
    """Tell whether the journal has a booking to insert yet."""
    return bool(session.info[_LAST])


def _note_before(session: Session, *_: object) -> None:
    """Keep what changed bookings were, from the database itself, before it is written over."""
    before: dict[int, dict[str, Any]] = session.info[_BEFORE]
    fresh = [row for row in session.new if isinstance(row, BookingRow)]
    session.info[_NEW].extend(fresh)
    made: set[int] = session.info[_FRESH]
    made.update(map(id, fresh))
    numbers = [
        row.id
        for row in session.dirty
        if isinstance(row, BookingRow) and row.id not in before and id(row) not in made
    ]
    note_before(session, numbers)


def note_before(session: Session, numbers: Sequence[int]) -> None:
    """Keep what bookings were that are about to be written over, also past the session.

    Args:
        session: The open write session.
        numbers: Of bookings that the transaction has not written over yet.
    """
    before: dict[int, dict[str, Any]] = session.info[_BEFORE]
    columns = [getattr(BookingRow, name) for name in ("id", "changed_at", "sequence")]
    columns += [getattr(BookingRow, name).label(name) for name in NOTED]
    for chunk in chunks_of(numbers):
        shown = select(*columns).where(BookingRow.id.in_(chunk))
        for found in session.connection().execute(shown):
            before[found.id] = stored_state(found) | {
                "changed_at": found.changed_at,
                "sequence": found.sequence,
            }


def _note_records(session: Session, *_: object) -> None:
    """Keep what other records were before they are written over."""
    noted: dict[Key, State | None] = session.info[_RECORDS]
    fresh = [row for row in session.new if type(row) in SORT_OF_ROW]
    session.info[_NEW_RECORDS].extend(fresh)
    made: set[int] = session.info[_FRESH]
    made.update(map(id, fresh))
    made_now: set[Key | None] = session.info[_FRESH_KEYS]
    made_now.update(map(key_of, (*session.info[_LAST_FRESH], *fresh)))
    session.info[_LAST_FRESH] = fresh
    for row in (*session.new, *session.dirty, *session.deleted):
        key = None if id(row) in made else key_of(row)
        if key is not None and key[1] is not None and key not in noted:
            noted[key] = None if key in made_now else read_state(session, key)


def _write(session: Session) -> None:
    session.flush()
    before: dict[int, dict[str, Any]] = session.info[_BEFORE]
    entries: list[Entry] = []
    instants: list[datetime] = []
    why: dict[int | None, Reason] = session.info[_WHY]
    for row in session.info[_NEW]:
        entries.append(Entry(row, None, stored_state(row)))
        instants.append(row.changed_at)
    held = _load_all(session, before)
    for number, was in before.items():
        changed = held.get(number) or session.get_one(BookingRow, number)
        changed_at, sequence = was.pop("changed_at"), was.pop("sequence")
        after = stored_state(changed)
        states = state_from_stored(was), state_from_stored(after)
        if not is_same_state(*states):
            count_if_forgotten(states, sequence, changed)
            entries.append(
                Entry(changed, was, after | stored_reason(why.get(number, why.get(None))))
            )
        if changed.changed_at != changed_at:
            instants.append(changed.changed_at)
    entries.extend(Entry(row, None, stored_state(row)) for row in session.info[_LAST])
    instants.extend(row.changed_at for row in session.info[_LAST])
    records = _changed_records(session)
    if entries or records:
        _add_change(session, entries, records, instants)
    _forget(session)


AT_ONCE = 500
"""Bookings that one statement names: databases limit how many values it may have."""


def _load_all(session: Session, numbers: Collection[int]) -> dict[int, BookingRow]:
    """Load bookings again of which a session has forgotten many; one is looked for by itself."""
    found: dict[int, BookingRow] = {}
    ordered = sorted(numbers) if len(numbers) > 1 else []
    for start in range(0, len(ordered), AT_ONCE):
        some = ordered[start : start + AT_ONCE]
        rows = session.scalars(select(BookingRow).where(BookingRow.id.in_(some)))
        found |= {row.id: row for row in rows}
    return found


def _changed_records(session: Session) -> list[State]:
    noted: dict[Key, State | None] = session.info[_RECORDS]
    for row in session.info[_NEW_RECORDS]:
        key = key_of(row)
        if key is not None:
            noted.setdefault(key, None)
    rows: list[State] = []
    now = read_states(session, noted)
    for key, before in noted.items():
        after = now.get(key)
        if after != before:
            title = title_of(session, key, after or before or {})
            what = {"sort": key[0], "number": write_key(key), "title": title}
            rows.append(what | {"before": before, "after": after})
    return rows


def _add_change(
    session: Session,
    entries: Sequence[Entry],
    records: Sequence[State],
    instants: Sequence[datetime],
) -> None:
    """Write the change past the session: objects that nobody looks at would take longer."""
    connection = session.connection()
    change = {
        "at": max(instants, default=datetime.now(UTC)),
        "by": session.info[_BY],
        "words": session.info.get(_WORDS, ""),
        "undoes_id": session.info.get(_UNDOES),
    }
    number = put_change(connection, change, entries, records, is_wanted=session.info[_MAILED])
    session.info[_MADE].append(number)


def _tell_made(session: Session) -> None:
    asked: list[int] | None = session.info[_ASKED]
    if asked is not None:
        asked.extend(session.info[_MADE])
    session.info[_MADE] = []


def _forget(session: Session) -> None:
    session.info.update({_BEFORE: {}, _NEW: [], _RECORDS: {}, _NEW_RECORDS: [], _WHY: {}})
    session.info.update({_FRESH: set(), _FRESH_KEYS: set(), _LAST_FRESH: []})
    session.info[_MAILED], session.info[_LAST] = False, []
    session.info.pop(_WORDS, None)
    session.info.pop(_UNDOES, None)


def _lose(session: Session) -> None:
    session.info[_MADE] = []
    _forget(session)


def _mind_bulk(state: ORMExecuteState) -> None:
    """Look at every record of a table that one statement writes to; refuse it for bookings."""
    mapper = state.bind_mapper
    if mapper is None or not (state.is_insert or state.is_update or state.is_delete):
        return
    if mapper.class_ is BookingRow:
        raise RuntimeError("Change booking rows one by one: the journal must see each of them.")
    if mapper.class_ in SORT_OF_ROW:
        noted: dict[Key, State | None] = state.session.info[_RECORDS]
        for key in keys_of_table(state.session, mapper.class_):
            if key not in noted:
                noted[key] = read_state(state.session, key)
