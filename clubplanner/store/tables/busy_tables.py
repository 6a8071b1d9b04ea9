"""Calendars of others that hold our ground, as last read, and the bookings made of them."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import ForeignKey, LargeBinary
from sqlalchemy.orm import Mapped, mapped_column, relationship

from clubplanner.store.tables.base import Base
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.ground_tables import AreaRow


class BusyCalendarRow(Base):
    """A venue's or hirer's own calendar.

    Attributes:
        url: Where it is read again; blank for a file. It may be secret: never log it.
        data: As last read; None before the first time.
        etag: What the server said of that version; `modified` likewise.
        problems: Of the last reading, as [where, code, message].
        tried_at: When it was last asked for; while a worker has it, when it would have been so that
            another one may take it up after a while.
        read_at: When it was last read.
        ended_at: When it stopped counting.
    """

    __tablename__ = "busy_calendar"

    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str]
    area_id: Mapped[int] = mapped_column(ForeignKey("area.id"), index=True)
    url: Mapped[str]
    data: Mapped[bytes | None] = mapped_column(LargeBinary)
    etag: Mapped[str]
    modified: Mapped[str]
    problems: Mapped[list[Any]]
    tried_at: Mapped[datetime | None]
    read_at: Mapped[datetime | None]
    ended_at: Mapped[datetime | None]

    area: Mapped[AreaRow] = relationship()


class BusyBookingRow(Base):
    """A booking that a calendar asked for."""

    __tablename__ = "busy_booking"

    booking_id: Mapped[int] = mapped_column(ForeignKey("booking.id"), primary_key=True)
    calendar_id: Mapped[int] = mapped_column(ForeignKey("busy_calendar.id"), index=True)

    booking: Mapped[BookingRow] = relationship()
