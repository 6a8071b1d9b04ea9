"""Hires: who from outside takes ground, whom to call, and the booking of every date."""

from __future__ import annotations

from datetime import date, datetime

from sqlalchemy import CheckConstraint, ForeignKey
from sqlalchemy.orm import Mapped, mapped_column, relationship

from clubplanner.store.tables.base import Base
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.ground_tables import AreaRow


class HireRow(Base):
    """Ground for somebody from outside, once or in a series.

    Two of one name may be two hirers, so each has a number of its own.

    Attributes:
        name: The hirer; the holder of its bookings.
        contact: Whom to call; may be blank, as `phone` may.
        area_id: Where its later dates are; single dates may have gone elsewhere.
        start_min: Minute of the local day at which they begin.
        end_min: Minute at which they are over; more than 1440 after midnight.
        every_weeks: 1 or 2 from one date to the next; one date alone has 1.
        skips_breaks: Whether breaks and public holidays are left out.
        withdrawn_at: When it was taken out as a whole.
    """

    __tablename__ = "hire"

    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str]
    contact: Mapped[str]
    phone: Mapped[str]
    note: Mapped[str]
    area_id: Mapped[int] = mapped_column(ForeignKey("area.id"), index=True)
    start_min: Mapped[int]
    end_min: Mapped[int]
    every_weeks: Mapped[int]
    skips_breaks: Mapped[bool]
    created_at: Mapped[datetime]
    withdrawn_at: Mapped[datetime | None]

    area: Mapped[AreaRow] = relationship()
    dates: Mapped[list[HireDateRow]] = relationship(
        back_populates="hire",
        order_by="(HireDateRow.day, HireDateRow.id)",
        cascade="all, delete-orphan",
    )

    __table_args__ = (
        CheckConstraint("end_min > start_min", name="runs_forward"),
        CheckConstraint("every_weeks IN (1, 2)", name="weeks"),
    )


class HireDateRow(Base):
    """A date of a hire: its booking, or none where the date was left out.

    `is_ended` where the hire was ended before it: then it is no date of the hire any more, and
    only tells whose the booking was.
    """

    __tablename__ = "hire_date"

    id: Mapped[int] = mapped_column(primary_key=True)
    hire_id: Mapped[int] = mapped_column(ForeignKey("hire.id"), index=True)
    day: Mapped[date]
    booking_id: Mapped[int | None] = mapped_column(ForeignKey("booking.id"), index=True)
    is_ended: Mapped[bool] = mapped_column(default=False)

    hire: Mapped[HireRow] = relationship(back_populates="dates")
    booking: Mapped[BookingRow | None] = relationship()
