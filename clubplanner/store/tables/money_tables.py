"""Money: the club's terms, tariffs, reductions, and the statements that were issued."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from sqlalchemy import BigInteger, CheckConstraint, ForeignKey, Index, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column, relationship

from clubplanner.store.tables.base import Base
from clubplanner.store.tables.ground_tables import AreaRow, PitchRow, VenueRow
from clubplanner.store.tables.squad_tables import SquadRow


class MoneyRow(Base):
    """What the club settled: one row, and nothing is settled without it.

    `currency` is a code of ISO 4217, or blank.
    """

    __tablename__ = "money"

    id: Mapped[int] = mapped_column(primary_key=True)
    currency: Mapped[str]
    notice_hours: Mapped[int]
    late_percent: Mapped[int]
    note: Mapped[str]

    __table_args__ = (
        CheckConstraint("id = 1", name="one_choice"),
        CheckConstraint("late_percent BETWEEN 0 AND 100", name="percent"),
    )


class TariffRow(Base):
    """What an hour or an opening costs; `amount` is in the currency's smallest units.

    Ground is a venue, a pitch of it (`pitch_id`) or a part of that pitch (`area_id`). `weekdays`
    is a list of numbers, Monday 0, empty for every day.
    """

    __tablename__ = "tariff"

    id: Mapped[int] = mapped_column(primary_key=True)
    payer: Mapped[str]
    name: Mapped[str]
    venue_id: Mapped[int] = mapped_column(ForeignKey("venue.id"))
    pitch_id: Mapped[int | None] = mapped_column(ForeignKey("pitch.id"))
    area_id: Mapped[int | None] = mapped_column(ForeignKey("area.id"))
    amount: Mapped[int] = mapped_column(BigInteger)
    per: Mapped[str]
    adds: Mapped[bool]
    light: Mapped[str]
    weekdays: Mapped[list[Any]]
    from_min: Mapped[int]
    to_min: Mapped[int]
    season_from: Mapped[str]
    season_to: Mapped[str]
    starts_on: Mapped[date | None]
    ends_on: Mapped[date | None]

    venue: Mapped[VenueRow] = relationship()
    pitch: Mapped[PitchRow | None] = relationship()
    area: Mapped[AreaRow | None] = relationship()

    __table_args__ = (
        CheckConstraint("amount >= 0", name="not_negative"),
        CheckConstraint("area_id IS NULL OR pitch_id IS NOT NULL", name="part_of_a_pitch"),
        CheckConstraint("to_min > from_min", name="runs_forward"),
    )


class ReductionRow(Base):
    """Free minutes a month and a percentage off, for a squad, an age, a hirer or all of them."""

    __tablename__ = "reduction"

    id: Mapped[int] = mapped_column(primary_key=True)
    payer: Mapped[str]
    name: Mapped[str]
    squad_id: Mapped[int | None] = mapped_column(ForeignKey("squad.id"))
    hirer: Mapped[str]
    up_to_age: Mapped[int | None]
    venue_id: Mapped[int | None] = mapped_column(ForeignKey("venue.id"))
    percent: Mapped[int]
    free_minutes: Mapped[int]

    squad: Mapped[SquadRow | None] = relationship()
    venue: Mapped[VenueRow | None] = relationship()

    __table_args__ = (
        CheckConstraint("percent BETWEEN 0 AND 100", name="percent"),
        CheckConstraint("free_minutes >= 0", name="not_negative"),
    )


class StatementRow(Base):
    """A statement as it was issued; nothing of it follows what changes later.

    `number` counts all of the club's without gaps; one that was taken back keeps its own. `month`
    is its first date. `name` is what the squad, the venue or the hirer was called; a hirer has no
    number besides. `lines` holds what stands on it, in the words of that day.
    """

    __tablename__ = "statement"

    id: Mapped[int] = mapped_column(primary_key=True)
    number: Mapped[int]
    payer: Mapped[str]
    squad_id: Mapped[int | None] = mapped_column(ForeignKey("squad.id"))
    venue_id: Mapped[int | None] = mapped_column(ForeignKey("venue.id"))
    name: Mapped[str]
    month: Mapped[date]
    currency: Mapped[str]
    total: Mapped[int] = mapped_column(BigInteger)
    lines: Mapped[list[Any]]
    note: Mapped[str]
    issued_at: Mapped[datetime]
    withdrawn_at: Mapped[datetime | None]
    why: Mapped[str]

    __table_args__ = (
        UniqueConstraint("number"),
        CheckConstraint("number > 0", name="counted"),
        Index("ix_statement_month", "month"),
    )
