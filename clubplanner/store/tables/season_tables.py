"""The tables of the running season: what was changed, when and by whom."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from sqlalchemy import CheckConstraint, ForeignKey, Index, text
from sqlalchemy.orm import Mapped, mapped_column, relationship

from clubplanner.store.tables.base import Base
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.ground_tables import AreaRow, PitchRow
from clubplanner.store.tables.said import said
from clubplanner.store.tables.squad_tables import SquadRow


class ChangeRow(Base):
    """One transaction that changed bookings or other records of the club.

    Its rows of `ChangedBookingRow` and `ChangedRecordRow` hold what was and what is;
    `store.journal` writes them all.
    """

    __tablename__ = "booking_change"

    id: Mapped[int] = mapped_column(primary_key=True)
    at: Mapped[datetime] = mapped_column(index=True)
    by: Mapped[str]
    words: Mapped[str]
    undoes_id: Mapped[int | None] = mapped_column(ForeignKey("booking_change.id"))

    bookings: Mapped[list[ChangedBookingRow]] = relationship(
        back_populates="change", order_by="ChangedBookingRow.id"
    )
    records: Mapped[list[ChangedRecordRow]] = relationship(order_by="ChangedRecordRow.id")


class ChangedBookingRow(Base):
    """One booking of a change; `before` is None for a new one.

    `area_id` is the ground before the change: it keeps an area alive that only the past speaks of.
    Most have none, so these are left out of its index: else a database without statistics takes it
    for the quickest way to find "none" and reads ten seasons.
    """

    __tablename__ = "changed_booking"

    id: Mapped[int] = mapped_column(primary_key=True)
    change_id: Mapped[int] = mapped_column(ForeignKey("booking_change.id"))
    booking_id: Mapped[int] = mapped_column(ForeignKey("booking.id"))
    before: Mapped[dict[str, Any] | None]
    after: Mapped[dict[str, Any]]
    area_id: Mapped[int | None] = mapped_column(ForeignKey("area.id"))

    change: Mapped[ChangeRow] = relationship(back_populates="bookings")

    __table_args__ = (
        Index("ix_changed_booking_change_id", "change_id"),
        Index("ix_changed_booking_booking_id", "booking_id"),
        Index(
            "ix_changed_booking_area_id",
            "area_id",
            sqlite_where=text("area_id IS NOT NULL"),
            postgresql_where=text("area_id IS NOT NULL"),
        ),
        Index("ix_changed_booking_said", said("changed_booking")),
    )


class ChangedRecordRow(Base):
    """One record of a change that is no booking: a break, a squad, a pitch.

    `sort` and `number` say which (see `store.records`), `title` what it is called. `before` is
    None for a new one, `after` for one that was taken away.
    """

    __tablename__ = "changed_record"

    id: Mapped[int] = mapped_column(primary_key=True)
    change_id: Mapped[int] = mapped_column(ForeignKey("booking_change.id"), index=True)
    sort: Mapped[str]
    number: Mapped[str]
    title: Mapped[str]
    before: Mapped[dict[str, Any] | None]
    after: Mapped[dict[str, Any] | None]

    __table_args__ = (Index("ix_changed_record_sort_number", "sort", "number"),)


class ClosureRow(Base):
    """Ground that is closed or open with a condition, from one instant to another.

    Closed ground is held by bookings, one a day (`days`); a condition holds no ground. Whether
    ground is still closed is read from the bookings; a condition ends early by `lifted_at`.
    """

    __tablename__ = "closure"

    id: Mapped[int] = mapped_column(primary_key=True)
    area_id: Mapped[int] = mapped_column(ForeignKey("area.id"), index=True)
    starts_at: Mapped[datetime]
    ends_at: Mapped[datetime] = mapped_column(index=True)
    condition: Mapped[str]
    words: Mapped[str]
    reason: Mapped[str]
    created_at: Mapped[datetime]
    lifted_at: Mapped[datetime | None]

    area: Mapped[AreaRow] = relationship()
    days: Mapped[list[ClosureDayRow]] = relationship(
        back_populates="closure", order_by="ClosureDayRow.id"
    )

    __table_args__ = (CheckConstraint("ends_at > starts_at", name="runs_forward"),)


class ClosureDayRow(Base):
    """The booking that holds closed ground on one day."""

    __tablename__ = "closure_day"

    id: Mapped[int] = mapped_column(primary_key=True)
    closure_id: Mapped[int] = mapped_column(ForeignKey("closure.id"), index=True)
    booking_id: Mapped[int] = mapped_column(ForeignKey("booking.id"), unique=True)

    closure: Mapped[ClosureRow] = relationship(back_populates="days")
    booking: Mapped[BookingRow] = relationship()


class FixtureRow(Base):
    """A match at home; `booking_id` is its ground once it has been given any."""

    __tablename__ = "fixture"

    id: Mapped[int] = mapped_column(primary_key=True)
    squad_id: Mapped[int] = mapped_column(ForeignKey("squad.id"))
    day: Mapped[date] = mapped_column(index=True)
    kick_off_from: Mapped[int]
    kick_off_to: Mapped[int]
    opponent: Mapped[str]
    format_code: Mapped[str]
    minutes: Mapped[int]
    warm_up_minutes: Mapped[int]
    after_minutes: Mapped[int]
    pitch_name: Mapped[str]
    officials: Mapped[str]
    opponents: Mapped[str]
    note: Mapped[str]
    booking_id: Mapped[int | None] = mapped_column(ForeignKey("booking.id"), unique=True)
    withdrawn_at: Mapped[datetime | None]

    squad: Mapped[SquadRow] = relationship()
    booking: Mapped[BookingRow | None] = relationship()


class HolidayPlaceRow(Base):
    """Whose public holidays count: a country and perhaps a region of it; one row."""

    __tablename__ = "holiday_place"

    id: Mapped[int] = mapped_column(primary_key=True)
    country: Mapped[str]
    region: Mapped[str]

    __table_args__ = (CheckConstraint("id = 1", name="one_place"),)


class TrainingHolidayRow(Base):
    """A public holiday on which there is training as usual."""

    __tablename__ = "training_holiday"

    day: Mapped[date] = mapped_column(primary_key=True)


class SquadSeasonRow(Base):
    """A squad's own first and last date of training."""

    __tablename__ = "squad_season"

    squad_id: Mapped[int] = mapped_column(ForeignKey("squad.id"), primary_key=True)
    starts_on: Mapped[date | None]
    ends_on: Mapped[date | None]

    squad: Mapped[SquadRow] = relationship()


class WearLimitRow(Base):
    """What a club lets a pitch bear in a week, and from which source."""

    __tablename__ = "wear_limit"

    pitch_id: Mapped[int] = mapped_column(ForeignKey("pitch.id"), primary_key=True)
    hours: Mapped[float | None]
    matches: Mapped[float | None]
    source: Mapped[str]
    quality: Mapped[str]

    pitch: Mapped[PitchRow] = relationship()


class WaitingAskRow(Base):
    """A session, or more ground for one, that a coach asks for in the running season.

    `booking_id` is the session that wants more ground, or what was granted.
    """

    __tablename__ = "waiting_ask"

    id: Mapped[int] = mapped_column(primary_key=True)
    squad_id: Mapped[int] = mapped_column(ForeignKey("squad.id"))
    day: Mapped[date] = mapped_column(index=True)
    from_min: Mapped[int]
    to_min: Mapped[int]
    minutes: Mapped[int]
    least_share: Mapped[float]
    wants_more: Mapped[bool]
    booking_id: Mapped[int | None] = mapped_column(ForeignKey("booking.id"))
    by: Mapped[str]
    note: Mapped[str]
    asked_at: Mapped[datetime]
    state: Mapped[str]
    answer: Mapped[str]

    squad: Mapped[SquadRow] = relationship()
    booking: Mapped[BookingRow | None] = relationship()

    __table_args__ = (Index("ix_waiting_ask_state_squad_id", "state", "squad_id"),)


class SwapOfferRow(Base):
    """A coach's offer to change places with another squad."""

    __tablename__ = "swap_offer"

    id: Mapped[int] = mapped_column(primary_key=True)
    own_id: Mapped[int] = mapped_column(ForeignKey("booking.id"))
    other_id: Mapped[int] = mapped_column(ForeignKey("booking.id"))
    own_sequence: Mapped[int]
    other_sequence: Mapped[int]
    by: Mapped[str]
    note: Mapped[str]
    offered_at: Mapped[datetime]
    state: Mapped[str] = mapped_column(index=True)

    own: Mapped[BookingRow] = relationship(foreign_keys=[own_id])
    other: Mapped[BookingRow] = relationship(foreign_keys=[other_id])
