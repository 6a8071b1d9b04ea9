"""Booking rows: the one place that inserts and moves them, with a clash told in words.

The services look first, for a good message; the database's guard decides.
"""

from __future__ import annotations

import uuid
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import select
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm.attributes import set_committed_value

from clubplanner.domain.booked.bookings import Clash, Purpose
from clubplanner.domain.times.times import TimeRange, clock_in_zone, end_clock_in_zone
from clubplanner.errors import ClashError, MissingError, RefusedError
from clubplanner.language import _
from clubplanner.services.rows.bookings.booked_there import holders_between
from clubplanner.services.rows.bookings.held_against import HeldGround, known_held_against
from clubplanner.services.rows.snapshot import WITH_NAMES, load_zone
from clubplanner.store.guard import LENGTH_MARK, is_clash
from clubplanner.store.journal.new_bookings import put_booking, put_booking_at_end
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.ground_tables import AreaRow, PitchRow

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator
    from datetime import datetime

    from sqlalchemy.orm import Session


@dataclass(frozen=True, slots=True)
class BookingWish:
    """A booking somebody wants.

    Attributes:
        area_id: The area's number.
        during: Half-open range of instants.
        purpose: Why.
        squad_id: Whose; None for a hirer or a closure.
        holder: Who, in words.
        note: May be blank.
        is_fixed: Whether the share-out must leave it alone.
    """

    area_id: int
    during: TimeRange
    purpose: Purpose
    squad_id: int | None
    holder: str
    note: str
    is_fixed: bool


def insert_booking(
    session: Session,
    wish: BookingWish,
    now: datetime,
    *,
    is_free: bool = False,
    is_last: bool = False,
) -> BookingRow:
    """Insert a booking.

    Args:
        session: The open write session.
        wish: What is booked.
        now: The present instant.
        is_free: Whether the caller has looked and found nobody there; the guard decides.
        is_last: Whether it may be inserted at the transaction's end, and have its number then; the
            caller lets `told_in_words` tell what the guard says there.

    Raises:
        ClashError: If somebody holds a part of the ground at some moment.
        MissingError: If the area is gone.
        RefusedError: If it is longer than a day.
    """
    ground = ground_of(session, wish.area_id)
    if not is_free:
        refuse_clash(session, ground, wish.during)
    values = {
        "uid": f"{uuid.uuid4()}@clubplanner",
        "pitch_id": ground.pitch_id,
        "area_id": wish.area_id,
        "cells": ground.cells,
        "starts_at": wish.during.starts_at,
        "ends_at": wish.during.ends_at,
        "purpose": wish.purpose,
        "squad_id": wish.squad_id,
        "written_holder": wish.holder,
        "note": wish.note,
        "is_withdrawn": False,
        "is_fixed": wish.is_fixed,
        "share_out_id": None,
        "sequence": 0,
        "created_at": now,
        "changed_at": now,
        "overruled": "",
    }
    with told_in_words():
        return put_booking_at_end(session, values) if is_last else put_booking(session, values)


def place_booking(session: Session, row: BookingRow, area: AreaRow, during: TimeRange) -> None:
    """Put a booking on other ground or another time; the caller counts the change.

    What was overruled for it where it was is forgotten: that was about another place.

    Raises:
        ClashError: If somebody else holds the ground.
    """
    refuse_clash(session, area, during, besides=row.id)
    put_row(row, area, during)
    flush(session)


def put_row(row: BookingRow, area: AreaRow, during: TimeRange) -> None:
    """Write a booking's ground and time; the caller has looked whether it is free, and flushes."""
    set_committed_value(row, "pitch", area.pitch)  # the numbers alone are written
    set_committed_value(row, "area", area)
    row.pitch_id, row.area_id, row.cells = area.pitch_id, area.id, area.cells
    row.starts_at, row.ends_at = during.starts_at, during.ends_at
    row.overruled = ""


def note_change(row: BookingRow, now: datetime) -> None:
    """Count a change that a squad would notice."""
    row.sequence += 1
    row.changed_at = now


def ground_of(session: Session, area_id: int) -> HeldGround | AreaRow:
    """Return an area as it is known, or from the records where these are being changed.

    Raises:
        MissingError: If it is gone.
    """
    known = known_held_against(session)
    ground = None if known is None else known.grounds.get(area_id)
    return load_area(session, area_id) if ground is None else ground


def load_area(session: Session, area_id: int) -> AreaRow:
    """Return an area.

    Raises:
        MissingError: If it is gone.
    """
    area = session.get(AreaRow, area_id)
    if area is None:
        raise MissingError(_("This area no longer exists; choose another one."))
    return area


def refuse_clash(
    session: Session, area: AreaRow | HeldGround, during: TimeRange, besides: int | None = None
) -> None:
    """Raise ClashError, naming every holder, if the ground is held."""
    holders = find_holders(session, area.pitch_id, area.cells, during, besides)
    if holders:
        raise ClashError(clashes_from_rows(session, holders))


def find_holders(
    session: Session, pitch_id: int, cells: int, during: TimeRange, besides: int | None = None
) -> list[BookingRow]:
    """Return the live bookings that share a cell and a moment, by start."""
    numbers = holders_between(session, pitch_id, cells, during)
    others = [number for number in numbers if number != besides]
    if not others:
        return []
    rows = session.scalars(
        select(BookingRow)
        .where(BookingRow.id.in_(others))
        .order_by(BookingRow.starts_at)
        .options(*WITH_NAMES)
    )
    return list(rows)


def clashes_from_rows(session: Session, rows: Iterable[BookingRow]) -> list[Clash]:
    """Tell who holds what until when."""
    zone = load_zone(session)
    return [
        Clash(
            row.holder,
            row.area.name,
            clock_in_zone(row.starts_at, zone),
            end_clock_in_zone(row.ends_at, zone),
        )
        for row in rows
    ]


def flush(session: Session) -> None:
    """Write what is pending; the guard's refusal becomes an error in words.

    Raises:
        ClashError: Without names: the guard knows only that the ground is held.
        RefusedError: If a booking is longer than a day.
    """
    with told_in_words():
        session.flush()


@contextmanager
def told_in_words() -> Iterator[None]:
    """Let the guard's refusal become an error in words.

    Raises:
        ClashError: Without names: the guard knows only that the ground is held.
        RefusedError: If a booking is longer than a day.
    """
    try:
        yield
    except IntegrityError as fault:
        if is_clash(fault):
            raise ClashError(()) from fault
        if LENGTH_MARK in str(fault):
            raise RefusedError(
                _("A booking lasts at most a day; book each day by itself.")
            ) from fault
        raise


def lift_bookings(
    session: Session, areas: Iterable[AreaRow], now: datetime
) -> tuple[BookingRow, ...]:
    """Withdraw the live bookings to come of areas for a moment: no cells change under a booking.

    Returns:
        What was lifted; `rewrite_cells` puts it back.
    """
    rows = session.scalars(
        select(BookingRow).where(
            BookingRow.area_id.in_([area.id for area in areas]),
            *BookingRow.not_over(now),
            BookingRow.is_withdrawn.is_(False),
        )
    ).all()
    for row in rows:
        row.is_withdrawn = True
    session.flush()
    return tuple(rows)


def rewrite_cells(
    session: Session, pitch: PitchRow, lifted: Iterable[BookingRow], now: datetime
) -> None:
    """Give every booking of a pitch that is not over the cells that its area has now.

    What was lifted is put back one by one, so the guard checks each. What is over keeps its old
    cells: they stand in nobody's way.

    Raises:
        ClashError: If two bookings would meet on the new cells.
    """
    rows = session.scalars(
        select(BookingRow).where(BookingRow.pitch_id == pitch.id, *BookingRow.not_over(now))
    )
    for row in rows:
        row.cells = row.area.cells
    session.flush()
    for row in lifted:
        refuse_clash(session, row.area, TimeRange(row.starts_at, row.ends_at), besides=row.id)
        row.is_withdrawn = False
        flush(session)
