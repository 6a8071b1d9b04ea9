"""Clubs within the record, whose squads are whose, and who is the secretary of one of them."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column, relationship

from clubplanner.store.tables.base import Base
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from clubplanner.store.tables.people_tables import PersonRow  # noqa: TC004 - found by its name


class ClubWithinRow(Base):
    """A club that shares the record's ground. It is never deleted: the past has its hours.

    `key` follows from its name.
    """

    __tablename__ = "club_within"

    id: Mapped[int] = mapped_column(primary_key=True)
    key: Mapped[str] = mapped_column(unique=True)
    position: Mapped[int]
    name: Mapped[str]
    ended_at: Mapped[datetime | None]


class SquadClubRow(Base):
    """Which club a squad belongs to; a squad without a row is of none."""

    __tablename__ = "squad_club"

    squad_id: Mapped[int] = mapped_column(ForeignKey("squad.id"), primary_key=True)
    club_id: Mapped[int] = mapped_column(ForeignKey("club_within.id"), index=True)

    squad: Mapped[SquadRow] = relationship()
    club: Mapped[ClubWithinRow] = relationship()


class ClubSecretaryRow(Base):
    """Who is the secretary of one club.

    The person's own role is a coach's, so whatever does not know of this row lets them do no more
    than that.
    """

    __tablename__ = "club_secretary"

    person_id: Mapped[int] = mapped_column(ForeignKey("person.id"), primary_key=True)
    club_id: Mapped[int] = mapped_column(ForeignKey("club_within.id"), index=True)

    person: Mapped[PersonRow] = relationship("PersonRow", back_populates="secretary_of")
    club: Mapped[ClubWithinRow] = relationship()
