"""Calendars after records were brought back: counts go on, what was made since is called off."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import timedelta
from typing import TYPE_CHECKING, Any

from sqlalchemy import func, insert, select, update

from clubplanner.domain.booked.journal import is_same_state
from clubplanner.domain.booked.session_state import Cause, Reason
from clubplanner.language import _
from clubplanner.store.chunks import chunks_of
from clubplanner.store.journal.outbox import Entry, put_change
from clubplanner.store.journal.states import state_from_stored, stored_reason, stored_state
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.ground_tables import AreaRow
from clubplanner.store.tables.season_tables import ChangeRow, SwapOfferRow

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from datetime import datetime

    from sqlalchemy import Connection
    from sqlalchemy.orm import Session

    from clubplanner.services.restoring.former import Known, Row, Stood

LEAST_JUMP = 1000
"""Nobody changes one booking so often between two backups."""


@dataclass(frozen=True, slots=True)
class Counted:
    """How counts went on.

    Attributes:
        jump: By how much each count rose.
        stamp: When all of them changed: later than any calendar can have seen.
    """

    jump: int
    stamp: datetime


@dataclass(slots=True)
class Taken:
    """What became of sessions to come that the replaced records have otherwise.

    Attributes:
        entries: The journal's entries.
        put_back: Numbers of those that are again as they were.
        called_off: Numbers of those that were made since, kept as withdrawn.
        untold: How many were made since on ground that the backup does not know.
    """

    entries: list[Entry] = field(default_factory=list)
    put_back: list[int] = field(default_factory=list)
    called_off: list[int] = field(default_factory=list)
    untold: int = 0


def count_on(
    there: Connection,
    backup: Known,
    former: Known | None,
    span: tuple[datetime, datetime],
    since: datetime,
) -> Counted:
    """Raise the count of every booking that a calendar may hold above all that it can have seen.

    A booking is changed less than once a second; where the replaced records know more, they say.

    Args:
        there: The records, as the backup has them.
        backup: What the backup knows.
        former: What the replaced records know; None where they say nothing.
        span: From the backup to the present.
        since: Bookings that ended before are in no calendar.
    """
    passed = round((span[1] - span[0]).total_seconds())
    seen = {} if former is None else former.bookings
    ahead = (
        row["sequence"] - backup.bookings[number]["sequence"] + 1
        for number, row in seen.items()
        if number in backup.bookings
    )
    jump = max(LEAST_JUMP, passed, *ahead)
    instants = [row["changed_at"] for known in (backup.bookings, seen) for row in known.values()]
    stamp = max(span[1], max(instants, default=span[0]) + timedelta(seconds=1))
    raised = select(BookingRow.id).where(BookingRow.ends_at > since)
    there.execute(
        update(SwapOfferRow.__table__)  # type: ignore[arg-type]
        .where(SwapOfferRow.own_id.in_(raised), SwapOfferRow.other_id.in_(raised))
        .values(
            own_sequence=SwapOfferRow.own_sequence + jump,
            other_sequence=SwapOfferRow.other_sequence + jump,
        )
    )
    there.execute(
        update(BookingRow.__table__)  # type: ignore[arg-type]
        .where(BookingRow.ends_at > since)
        .values(sequence=BookingRow.sequence + jump, changed_at=stamp)
    )
    return Counted(jump, stamp)


def newest_instant(there: Connection) -> datetime | None:
    """Return when the records were last changed, as far as they say; None for never."""
    changed = there.execute(select(func.max(BookingRow.changed_at))).scalar()
    noted = there.execute(select(func.max(ChangeRow.at))).scalar()
    return max((at for at in (changed, noted) if at is not None), default=None)


def settle_sessions(
    session: Session,
    stood: Mapping[int, Stood],
    same: Mapping[str, frozenset[int]],
    counted: Counted,
    now: datetime,
) -> Taken:
    """Work out what people have to hear: from what they know to what the backup has.

    Args:
        session: The records, as the backup has them, counts raised.
        stood: The bookings of the replaced records.
        same: What both know under the same numbers.
        counted: How counts went on.
        now: The present instant.
    """
    taken = Taken()
    why = stored_reason(Reason(Cause.SAID, _("the club's records were brought back from a backup")))
    for number, row in _rows(session, [n for n in stood if n in same["booking"]]):
        after = stored_state(row)
        if max(row.ends_at, stood[number].values["ends_at"]) <= now:
            continue
        before = _known_here(stood[number].state, after, same)
        if not is_same_state(state_from_stored(before), state_from_stored(after)):
            _note(taken, row, before, after | why)
            taken.put_back.append(number)
    numbers = set(session.scalars(select(BookingRow.id)))
    for number, old in stood.items():
        if number in same["booking"] or old.values["ends_at"] <= now:
            continue
        if old.values["area_id"] not in same["area"] or number in numbers:
            taken.untold += not old.values["is_withdrawn"]
            continue
        row = _keep_withdrawn(session, old, same, counted)
        if not old.values["is_withdrawn"]:
            after = stored_state(row)
            _note(taken, row, after | {"is_withdrawn": False}, after | why)
            taken.called_off.append(number)
    return taken


def journal_sessions(session: Session, taken: Taken, by: str, words: str, at: datetime) -> int:
    """Note it in the journal, and for the squads in the outbox, as any change is.

    Returns:
        The number of the change.
    """
    session.flush()
    change = {"at": at, "by": by, "words": words, "undoes_id": None}
    return put_change(session.connection(), change, taken.entries)


def _note(taken: Taken, row: BookingRow, before: Row, after: Row) -> None:
    taken.entries.append(Entry(row, before, after))


def _known_here(state: Row, after: Row, same: Mapping[str, frozenset[int]]) -> Row:
    """Return what stood, in what the backup knows.

    Of ground or a squad that it does not know only this is left: that it was not what it is now.
    """
    is_known = state["area_id"] in same["area"] and state["pitch_id"] in same["pitch"]
    if is_known and (state["squad_id"] is None or state["squad_id"] in same["squad"]):
        return state
    return after | {"is_withdrawn": True}


def _keep_withdrawn(
    session: Session, old: Stood, same: Mapping[str, frozenset[int]], counted: Counted
) -> BookingRow:
    """Keep a booking that the backup does not know as a withdrawn one, so that it can be told."""
    area = session.get_one(AreaRow, old.values["area_id"])
    is_squad = old.values["squad_id"] in same["squad"]
    values: dict[str, Any] = old.values | {
        "pitch_id": area.pitch_id,
        "cells": area.cells,
        "squad_id": old.values["squad_id"] if is_squad else None,
        "holder": old.state["holder"],
        "share_out_id": None,
        "is_withdrawn": True,
        "is_fixed": False,
        "sequence": old.values["sequence"] + counted.jump,
        "changed_at": counted.stamp,
    }
    session.execute(insert(BookingRow.__table__).values(values))  # type: ignore[arg-type]
    return session.get_one(BookingRow, values["id"])


def _rows(session: Session, numbers: list[int]) -> Iterator[tuple[int, BookingRow]]:
    for chunk in chunks_of(numbers):
        for row in session.scalars(select(BookingRow).where(BookingRow.id.in_(chunk))):
            yield row.id, row
