"""What is booked on one pitch, or for some squads, at a time: what is asked with every change.

The queries are made once, since making one takes longer than asking it.
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any

from sqlalchemy import bindparam, select

from clubplanner.services.rows.snapshot import booking_from_columns, bookings_with_names
from clubplanner.store.putting import ask
from clubplanner.store.tables.booking_tables import LONGEST_BOOKING, BookingRow
from clubplanner.store.tables.columns import Instant
from clubplanner.store.tables.ground_tables import PitchRow
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from collections.abc import Collection

    from sqlalchemy import ColumnElement, Select
    from sqlalchemy.orm import Session

    from clubplanner.domain.booked.bookings import Booking
    from clubplanner.domain.times.times import TimeRange


def load_bookings_of_pitch(session: Session, key: str, during: TimeRange) -> tuple[Booking, ...]:
    """Return the bookings of a pitch that are not withdrawn and touch a range, by start."""
    found = ask(session, _of_pitch(), {"key": key, **_bounds(during)})
    return tuple(booking_from_columns(session, row) for row in found)


def load_bookings_of_squads(
    session: Session, keys: Collection[str], during: TimeRange
) -> tuple[Booking, ...]:
    """Return the bookings of some squads that are not withdrawn and touch a range, by start."""
    if session.autoflush:  # a list of keys is none of the values that `ask` may send
        session.flush()
    found = session.connection().execute(_of_squads(), {"keys": sorted(keys), **_bounds(during)})
    return tuple(booking_from_columns(session, row) for row in found)


def holders_between(
    session: Session, pitch_id: int, cells: int, during: TimeRange
) -> tuple[int, ...]:
    """Return the numbers of the live bookings that share a cell and a moment, by start."""
    values = {"pitch_id": pitch_id, "cells": cells, **_bounds(during)}
    return tuple(number for (number,) in ask(session, _holding(), values))


def _bounds(during: TimeRange) -> dict[str, Any]:
    return {
        "until": during.ends_at,
        "since": during.starts_at,
        "begun": during.starts_at - LONGEST_BOOKING,
    }


def _touching() -> tuple[ColumnElement[bool], ...]:
    """Return the conditions of `BookingRow.running_between`, its ends to be given."""
    since, until, begun = (bindparam(name, type_=Instant()) for name in ("since", "until", "begun"))
    return (
        BookingRow.starts_at < until,
        BookingRow.ends_at > since,
        BookingRow.starts_at > begun,
        BookingRow.is_withdrawn.is_(False),
    )


@cache
def _of_pitch() -> Select[*tuple[Any, ...]]:
    return (
        bookings_with_names()
        .where(PitchRow.key == bindparam("key"), *_touching())
        .order_by(BookingRow.starts_at, BookingRow.id)
    )


@cache
def _of_squads() -> Select[*tuple[Any, ...]]:
    return (
        bookings_with_names()
        .where(SquadRow.key.in_(bindparam("keys", expanding=True)), *_touching())
        .order_by(BookingRow.starts_at, BookingRow.id)
    )


@cache
def _holding() -> Select[int]:
    return (
        select(BookingRow.id)
        .where(
            BookingRow.pitch_id == bindparam("pitch_id"),
            BookingRow.cells.op("&")(bindparam("cells", type_=BookingRow.cells.type)) != 0,
            *_touching(),
        )
        .order_by(BookingRow.starts_at)
    )
