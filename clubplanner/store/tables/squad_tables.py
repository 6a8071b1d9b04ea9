"""The squads, and what each wants of a week."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any

from sqlalchemy import CheckConstraint, ForeignKey
from sqlalchemy.orm import Mapped, mapped_column, relationship

from clubplanner.store.tables.base import Base

if TYPE_CHECKING:
    from clubplanner.store.tables.people_tables import SquadCoachRow  # noqa: TC004 - found by its name


class SquadRow(Base):
    """A squad: a name, an age group and numbers."""

    __tablename__ = "squad"

    id: Mapped[int] = mapped_column(primary_key=True)
    key: Mapped[str] = mapped_column(unique=True)
    position: Mapped[int]
    name: Mapped[str]
    age_group: Mapped[str]
    players: Mapped[int]
    goalkeepers: Mapped[int]

    asks: Mapped[list[AskRow]] = relationship(
        back_populates="squad", order_by="AskRow.id", cascade="all, delete-orphan"
    )
    coaches: Mapped[list[SquadCoachRow]] = relationship(
        "SquadCoachRow",
        primaryjoin="and_(SquadRow.id == SquadCoachRow.squad_id, SquadCoachRow.ended_at == None)",
        order_by="SquadCoachRow.position",
        viewonly=True,
    )
    """Who coaches it now, the first one first; written by `services.rows.coach_rows` only."""


class AskRow(Base):
    """What a squad wants of a week; windows are lists of [weekday, start, end].

    Wishes are lists of [grade, windows, weekdays, place], partners of [kind, squad's key, grade].
    `most_in_a_row` is the most evenings in a row, 1 to 6; None for as many as there are.
    """

    __tablename__ = "ask"

    id: Mapped[int] = mapped_column(primary_key=True)
    squad_id: Mapped[int] = mapped_column(ForeignKey("squad.id"), index=True)
    sessions: Mapped[int]
    minutes: Mapped[int]
    possible: Mapped[list[Any]]
    preferred: Mapped[list[Any]]
    least_m2: Mapped[float]
    least_share: Mapped[float]
    least_format: Mapped[str]
    surfaces: Mapped[list[Any]]
    needs_goal: Mapped[bool]
    needs_light: Mapped[bool]
    priority: Mapped[int]
    latest_finish_min: Mapped[int | None]
    rest_days: Mapped[int]
    no_day_before: Mapped[list[Any]]
    no_day_after: Mapped[list[Any]]
    wishes: Mapped[list[Any]]
    partners: Mapped[list[Any]]
    most_in_a_row: Mapped[int | None]

    squad: Mapped[SquadRow] = relationship(back_populates="asks")

    __table_args__ = (CheckConstraint("most_in_a_row BETWEEN 1 AND 6", name="less_than_a_week"),)


class SquadEndRow(Base):
    """A squad that ends: from a date on there is no session of it.

    All that it was stays in the records. `why` is for whoever came to it, may be blank;
    `goes_on_in_id` is the squad that its players go to, if the club says so.
    """

    __tablename__ = "squad_end"

    squad_id: Mapped[int] = mapped_column(ForeignKey("squad.id"), primary_key=True)
    from_day: Mapped[date]
    why: Mapped[str]
    goes_on_in_id: Mapped[int | None] = mapped_column(ForeignKey("squad.id"))

    squad: Mapped[SquadRow] = relationship(foreign_keys=[squad_id])
    goes_on_in: Mapped[SquadRow | None] = relationship(foreign_keys=[goes_on_in_id])

    __table_args__ = (CheckConstraint("goes_on_in_id <> squad_id", name="goes_elsewhere"),)
