"""The ground: venues, their pitches, the parts of these and what stands on them."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from shapely import Polygon
from sqlalchemy import BigInteger, CheckConstraint, ForeignKey, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column, relationship

from clubplanner.store.tables.base import Base


class VenueRow(Base):
    """A venue; its opening hours are a list of [weekday, start minute, end minute].

    `contact` and `contact_phone` are whom to call there: for who is signed in, and where
    `phone_for_parents` says so for who has a squad's address.
    Its place is both numbers, or neither as long as nobody has said where it lies.
    """

    __tablename__ = "venue"

    id: Mapped[int] = mapped_column(primary_key=True)
    key: Mapped[str] = mapped_column(unique=True)
    position: Mapped[int]
    name: Mapped[str]
    address: Mapped[str]
    lon: Mapped[float | None]
    lat: Mapped[float | None]
    opening: Mapped[list[Any]]
    lights_off_min: Mapped[int | None]
    dusk_margin_minutes: Mapped[int]
    way_in: Mapped[str]
    parking: Mapped[str]
    contact: Mapped[str]
    contact_phone: Mapped[str]
    phone_for_parents: Mapped[bool]

    pitches: Mapped[list[PitchRow]] = relationship(
        back_populates="venue", order_by="PitchRow.position"
    )

    __table_args__ = (CheckConstraint("(lon IS NULL) = (lat IS NULL)", name="has_whole_place"),)


class PitchRow(Base):
    """A pitch; frame, edge names, goals and entrance are small JSON values.

    The goals are JSON's `null` as long as nobody has said where they stand, or that none does.
    """

    __tablename__ = "pitch"

    id: Mapped[int] = mapped_column(primary_key=True)
    venue_id: Mapped[int] = mapped_column(ForeignKey("venue.id"), index=True)
    key: Mapped[str] = mapped_column(unique=True)
    position: Mapped[int]
    name: Mapped[str]
    surface: Mapped[str]
    is_lit: Mapped[bool]
    is_indoor: Mapped[bool]
    polygon: Mapped[Polygon]
    frame: Mapped[list[Any] | None]
    edges: Mapped[dict[str, Any]]
    goals: Mapped[list[Any] | None] = mapped_column(nullable=False)
    portable_goals: Mapped[int]
    entrance: Mapped[list[Any] | None]

    venue: Mapped[VenueRow] = relationship(back_populates="pitches")
    areas: Mapped[list[AreaRow]] = relationship(back_populates="pitch", order_by="AreaRow.position")
    obstacles: Mapped[list[ObstacleRow]] = relationship(
        order_by="ObstacleRow.id", cascade="all, delete-orphan"
    )


class ObstacleRow(Base):
    """Ground of a pitch taken by something else."""

    __tablename__ = "obstacle"

    id: Mapped[int] = mapped_column(primary_key=True)
    pitch_id: Mapped[int] = mapped_column(ForeignKey("pitch.id"), index=True)
    polygon: Mapped[Polygon]


class AreaRow(Base):
    """A bookable part of a pitch.

    `redrawn_at` is when a change of cuts last gave it other cells: bookings that were over by then
    keep those they had. None as long as there was none.
    """

    __tablename__ = "area"

    id: Mapped[int] = mapped_column(primary_key=True)
    pitch_id: Mapped[int] = mapped_column(ForeignKey("pitch.id"))
    key: Mapped[str]
    position: Mapped[int]
    name: Mapped[str]
    cut: Mapped[str]
    polygon: Mapped[Polygon]
    cells: Mapped[int] = mapped_column(BigInteger)
    twelfths: Mapped[int | None]
    redrawn_at: Mapped[datetime | None]

    pitch: Mapped[PitchRow] = relationship(back_populates="areas")

    __table_args__ = (
        UniqueConstraint("pitch_id", "key"),
        UniqueConstraint("id", "pitch_id"),  # for the bookings' key
        CheckConstraint("cells > 0", name="has_ground"),
    )
