"""The outbox: what squads have still to hear of, and the mails that tell them."""

from __future__ import annotations

from datetime import datetime
from enum import StrEnum
from typing import Any

from sqlalchemy import CheckConstraint, ForeignKey, Index
from sqlalchemy.orm import Mapped, mapped_column, relationship

from clubplanner.store.tables.base import Base
from clubplanner.store.tables.columns import kept_by_value
from clubplanner.store.tables.season_tables import ChangedBookingRow
from clubplanner.store.tables.squad_tables import SquadRow


class MailState(StrEnum):
    """What became of a mail."""

    WAITING = "waiting"
    SENT = "sent"
    UNSENT = "unsent"
    LAPSED = "lapsed"
    REFUSED = "refused"


class NoticeRow(Base):
    """One change of one booking that one squad would notice.

    Written by `store.outbox` in the transaction of the change itself. `is_wanted`: it goes by mail
    too, since it is soon or somebody asked for it. `told_at`: when mails were made of it, or it
    turned out that there was nothing to tell or nobody to write to.
    """

    __tablename__ = "notice"

    id: Mapped[int] = mapped_column(primary_key=True)
    entry_id: Mapped[int] = mapped_column(ForeignKey("changed_booking.id"))
    squad_id: Mapped[int] = mapped_column(ForeignKey("squad.id"))
    sequence: Mapped[int]
    changed_at: Mapped[datetime]
    is_wanted: Mapped[bool]
    told_at: Mapped[datetime | None]

    entry: Mapped[ChangedBookingRow] = relationship()
    squad: Mapped[SquadRow] = relationship()

    __table_args__ = (
        Index("ix_notice_entry_id", "entry_id"),
        Index("ix_notice_told_at_squad_id", "told_at", "squad_id"),
        Index("ix_notice_changed_at", "changed_at"),
    )


class MailRow(Base):
    """One mail to one person about one squad.

    Attributes:
        message_id: What the Message-ID begins with, the same at every try.
        changes: What it tells, for good; a later change is a later mail.
        next_try_at: When a worker may take it; a worker that takes it puts this off first, so that
            one that dies leaves it to another.
        attempts: How often it was handed over, not counting what the server refused to all mails.
        words: Why it was not delivered, for a person; blank else.
    """

    __tablename__ = "mail"

    id: Mapped[int] = mapped_column(primary_key=True)
    message_id: Mapped[str] = mapped_column(unique=True)
    squad_id: Mapped[int] = mapped_column(ForeignKey("squad.id"))
    address: Mapped[str]
    name: Mapped[str]
    changes: Mapped[list[Any]]
    made_at: Mapped[datetime]
    next_try_at: Mapped[datetime]
    attempts: Mapped[int]
    state: Mapped[MailState] = mapped_column(kept_by_value(MailState, "mail_state"))
    ended_at: Mapped[datetime | None]
    words: Mapped[str]

    squad: Mapped[SquadRow] = relationship()

    __table_args__ = (
        Index("ix_mail_state_next_try_at", "state", "next_try_at"),
        Index("ix_mail_squad_id", "squad_id"),
    )


class MailPauseRow(Base):
    """The mail server takes no mail of the club's: all wait. One row then, none else.

    Attributes:
        since: When it first refused.
        tries: How often it has since.
        next_try_at: Before this no mail is handed over.
        words: What happened, what to check and what the server said, for the secretary.
    """

    __tablename__ = "mail_pause"

    id: Mapped[int] = mapped_column(primary_key=True, default=1)
    since: Mapped[datetime]
    tries: Mapped[int]
    next_try_at: Mapped[datetime]
    words: Mapped[str]

    __table_args__ = (CheckConstraint("id = 1", name="one_pause"),)


class MailOffRow(Base):
    """A mail address, in small letters, that wants no mails."""

    __tablename__ = "mail_off"

    address: Mapped[str] = mapped_column(primary_key=True)
    since: Mapped[datetime]
