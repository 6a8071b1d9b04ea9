"""Unguessable addresses: of a squad's page and calendar, a coach's, a pitch's, and of a session."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import CheckConstraint, ForeignKey
from sqlalchemy.orm import Mapped, mapped_column, relationship

from clubplanner.store.tables.base import Base
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.ground_tables import PitchRow
from clubplanner.store.tables.people_tables import PersonRow
from clubplanner.store.tables.squad_tables import SquadRow

ONE_SUBJECT = (
    "(CASE WHEN squad_id IS NULL THEN 0 ELSE 1 END)"
    " + (CASE WHEN person_id IS NULL THEN 0 ELSE 1 END)"
    " + (CASE WHEN pitch_id IS NULL THEN 0 ELSE 1 END) = 1"
)


class LinkRow(Base):
    """One person's address of a squad, of all squads of a coach, or of a pitch.

    Only the hash of the address is kept. `email` gets mails about changes; blank for none. An
    address that stands in a mail knows which (`mail_id`): it is listed by who was written to.
    """

    __tablename__ = "link"

    id: Mapped[int] = mapped_column(primary_key=True)
    squad_id: Mapped[int | None] = mapped_column(ForeignKey("squad.id"), index=True)
    person_id: Mapped[int | None] = mapped_column(ForeignKey("person.id"), index=True)
    pitch_id: Mapped[int | None] = mapped_column(ForeignKey("pitch.id"), index=True)
    secret_hash: Mapped[str] = mapped_column(unique=True)
    holder: Mapped[str]
    email: Mapped[str]
    reminder_minutes: Mapped[int | None]
    mail_id: Mapped[int | None] = mapped_column(ForeignKey("mail.id"), index=True)
    created_at: Mapped[datetime]
    revoked_at: Mapped[datetime | None]

    squad: Mapped[SquadRow | None] = relationship()
    person: Mapped[PersonRow | None] = relationship()
    pitch: Mapped[PitchRow | None] = relationship()

    __table_args__ = (CheckConstraint(ONE_SUBJECT, name="one_subject"),)


class SessionLinkRow(Base):
    """An address of one session, for whoever takes it in the coach's place; it ends with it.

    Only the hash of the address is kept. Where `may_count` is set, whoever has it may say with how
    many the squad comes.
    """

    __tablename__ = "session_link"

    id: Mapped[int] = mapped_column(primary_key=True)
    booking_id: Mapped[int] = mapped_column(ForeignKey("booking.id"), index=True)
    secret_hash: Mapped[str] = mapped_column(unique=True)
    holder: Mapped[str]
    made_by: Mapped[str]
    may_count: Mapped[bool]
    created_at: Mapped[datetime]
    revoked_at: Mapped[datetime | None]

    booking: Mapped[BookingRow] = relationship()


class ServedRow(Base):
    """Under which address the pages were last served: one row, for whoever makes an address then.

    Commands run in another process than the server and cannot ask it.
    """

    __tablename__ = "served"

    id: Mapped[int] = mapped_column(primary_key=True)
    address: Mapped[str]
    served_at: Mapped[datetime]

    __table_args__ = (CheckConstraint("id = 1", name="one_place"),)
