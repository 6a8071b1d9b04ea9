"""The club itself, its own sizes, the stretches of its season and its notice board."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from sqlalchemy import CheckConstraint
from sqlalchemy.orm import Mapped, mapped_column

from clubplanner.store.tables.base import Base


class ClubRow(Base):
    """The club itself: one row."""

    __tablename__ = "club"

    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str]
    zone: Mapped[str]
    language: Mapped[str]
    step_minutes: Mapped[int]
    changeover_minutes: Mapped[int]
    travel_minutes: Mapped[int]
    rules: Mapped[dict[str, Any]]

    __table_args__ = (CheckConstraint("id = 1", name="one_club"),)


class OwnFormatRow(Base):
    """A game format of the club's own table of sizes; `figures` are its values by name."""

    __tablename__ = "own_format"

    id: Mapped[int] = mapped_column(primary_key=True)
    code: Mapped[str] = mapped_column(unique=True)
    position: Mapped[int]
    figures: Mapped[dict[str, Any]]


class StretchRow(Base):
    """A part of a season with one weekly pattern."""

    __tablename__ = "stretch"

    id: Mapped[int] = mapped_column(primary_key=True)
    key: Mapped[str] = mapped_column(unique=True)
    name: Mapped[str]
    starts_on: Mapped[date]
    ends_on: Mapped[date]


class BreakRow(Base):
    """Dates without training."""

    __tablename__ = "training_break"

    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str]
    starts_on: Mapped[date]
    ends_on: Mapped[date]


class NoticeBoardRow(Base):
    """Whether the notice board is on: one row, and off without it."""

    __tablename__ = "notice_board"

    id: Mapped[int] = mapped_column(primary_key=True)
    is_on: Mapped[bool]
    changed_at: Mapped[datetime]

    __table_args__ = (CheckConstraint("id = 1", name="one_board"),)
