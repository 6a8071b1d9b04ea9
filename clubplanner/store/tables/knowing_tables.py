"""What each person was last told, and what waits for one of them."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import CheckConstraint, ForeignKey, Index
from sqlalchemy.orm import Mapped, mapped_column, relationship

from clubplanner.store.tables.base import Base
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.columns import kept_by_value
from clubplanner.store.tables.link_tables import LinkRow
from clubplanner.store.tables.notice_tables import MailRow, MailState
from clubplanner.store.tables.people_tables import PersonRow

ONE_LOOKER = (
    "(CASE WHEN person_id IS NULL THEN 0 ELSE 1 END)"
    " + (CASE WHEN link_id IS NULL THEN 0 ELSE 1 END) = 1"
)


class MailedRow(Base):
    """What the calendar behind a mail address was last told of a booking by mail.

    Written when a mail server took the mail, in the transaction that notes it as sent; taken away
    when the session is long over.

    Attributes:
        address: In small letters.
        state: What was said, as the journal keeps bookings; withdrawn for a cancellation.
        ends_at: The end of what was said.
    """

    __tablename__ = "mailed"

    booking_id: Mapped[int] = mapped_column(ForeignKey("booking.id"), primary_key=True)
    address: Mapped[str] = mapped_column(primary_key=True)
    name: Mapped[str]
    sequence: Mapped[int]
    state: Mapped[dict[str, Any]]
    ends_at: Mapped[datetime]
    mailed_at: Mapped[datetime]

    booking: Mapped[BookingRow] = relationship()

    __table_args__ = (Index("ix_mailed_ends_at", "ends_at"),)


class FollowedRow(Base):
    """Up to which count an address was written to though the booking itself had not changed.

    Its squad was taken from them, or given back to them. So that a mail is made of it once,
    whatever becomes of the mail.
    """

    __tablename__ = "followed"

    booking_id: Mapped[int] = mapped_column(ForeignKey("booking.id"), primary_key=True)
    address: Mapped[str] = mapped_column(primary_key=True)
    sequence: Mapped[int]


class MailAnewRow(Base):
    """A mail that nobody got and that somebody has seen to: its news went out anew, or is old."""

    __tablename__ = "mail_anew"

    mail_id: Mapped[int] = mapped_column(ForeignKey("mail.id"), primary_key=True)
    at: Mapped[datetime]

    mail: Mapped[MailRow] = relationship()


class LookRow(Base):
    """When somebody last had the pages or the calendar, and as of which count of changes (`stand`).

    One row a person who signs in or an address that is handed out.
    """

    __tablename__ = "look"

    id: Mapped[int] = mapped_column(primary_key=True)
    person_id: Mapped[int | None] = mapped_column(ForeignKey("person.id"), unique=True)
    link_id: Mapped[int | None] = mapped_column(ForeignKey("link.id"), unique=True)
    page_at: Mapped[datetime | None]
    page_stand: Mapped[int]
    feed_at: Mapped[datetime | None]
    feed_stand: Mapped[int]

    person: Mapped[PersonRow | None] = relationship()
    link: Mapped[LinkRow | None] = relationship()

    __table_args__ = (CheckConstraint(ONE_LOOKER, name="one_looker"),)


class HintRow(Base):
    """A short mail to one person about something that waits for them: an offer, an answer.

    Attributes:
        message_id: What the Message-ID begins with, the same at every try.
        about: What it is about, so that it is not sent once that is settled: "swap 3".
        path: The page it leads to, from the slash on.
        ends_at: After this it helps nobody any more.
        words: Why it was not delivered, for a person; blank else.
    """

    __tablename__ = "hint"

    id: Mapped[int] = mapped_column(primary_key=True)
    message_id: Mapped[str] = mapped_column(unique=True)
    about: Mapped[str]
    address: Mapped[str]
    name: Mapped[str]
    subject: Mapped[str]
    text: Mapped[str]
    path: Mapped[str]
    made_at: Mapped[datetime]
    ends_at: Mapped[datetime]
    next_try_at: Mapped[datetime]
    attempts: Mapped[int]
    state: Mapped[MailState] = mapped_column(kept_by_value(MailState, "hint_state"))
    ended_at: Mapped[datetime | None]
    words: Mapped[str]

    __table_args__ = (Index("ix_hint_state_next_try_at", "state", "next_try_at"),)
