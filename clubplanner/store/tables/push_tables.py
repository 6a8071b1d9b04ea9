"""Notices to phones: the club's key, the browsers that asked for them, and what they are told."""

from __future__ import annotations

from datetime import datetime
from enum import StrEnum
from typing import Any

from sqlalchemy import CheckConstraint, ForeignKey, Index, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column, relationship

from clubplanner.store.tables.base import Base
from clubplanner.store.tables.columns import kept_by_value
from clubplanner.store.tables.link_tables import LinkRow
from clubplanner.store.tables.people_tables import BrowserRow
from clubplanner.store.tables.squad_tables import SquadRow

ONE_READER = (
    "(CASE WHEN link_id IS NULL THEN 0 ELSE 1 END)"
    " + (CASE WHEN browser_id IS NULL THEN 0 ELSE 1 END) = 1"
)


class PushState(StrEnum):
    """What became of a notice.

    LAPSED: Its time had passed, or a later one took its place. REFUSED: Nobody will get it.
    """

    WAITING = "waiting"
    SENT = "sent"
    LAPSED = "lapsed"
    REFUSED = "refused"


class PushKeyRow(Base):
    """The key by which services know the club (RFC 8292): one row, made at first use.

    Browsers are bound to it for as long as they are told. Both halves are base64url; the private
    one never leaves.
    """

    __tablename__ = "push_key"

    id: Mapped[int] = mapped_column(primary_key=True)
    private_key: Mapped[str]
    public_key: Mapped[str]
    made_at: Mapped[datetime]

    __table_args__ = (CheckConstraint("id = 1", name="one_key"),)


class PushReaderRow(Base):
    """A browser that asked to be told, behind an address or of somebody signed in.

    When it ends (switched off, signed out, address withdrawn, no longer known to its service) the
    row goes, and what it was told with it.

    Attributes:
        endpoint: Where its service takes messages for it; secret.
        public_key: Its key, base64url.
        auth: Its authentication secret, base64url.
        language: The one it is told in.
        answer: What its service last answered, as an HTTP status; None before the first message.
    """

    __tablename__ = "push_reader"

    id: Mapped[int] = mapped_column(primary_key=True)
    link_id: Mapped[int | None] = mapped_column(ForeignKey("link.id", ondelete="CASCADE"))
    browser_id: Mapped[int | None] = mapped_column(ForeignKey("browser.id", ondelete="CASCADE"))
    endpoint: Mapped[str]
    public_key: Mapped[str]
    auth: Mapped[str]
    language: Mapped[str]
    created_at: Mapped[datetime]
    answer: Mapped[int | None]
    answered_at: Mapped[datetime | None]

    link: Mapped[LinkRow | None] = relationship()
    browser: Mapped[BrowserRow | None] = relationship()

    __table_args__ = (
        CheckConstraint(ONE_READER, name="one_reader"),
        UniqueConstraint("link_id", "endpoint"),
        UniqueConstraint("browser_id", "endpoint"),
        Index("ix_push_reader_endpoint", "endpoint"),
    )


class PushRow(Base):
    """One notice to one browser about one squad.

    Attributes:
        changes: What it tells, for good; a later change is a later notice.
        tag: Which booking it is about: on a phone a later one takes the place of an earlier.
        next_try_at: When a worker may take it; a worker that takes it puts this off first, so that
            one that dies leaves it to another.
        words: Why it was not delivered, for a person; blank else.
    """

    __tablename__ = "push"

    id: Mapped[int] = mapped_column(primary_key=True)
    reader_id: Mapped[int] = mapped_column(ForeignKey("push_reader.id", ondelete="CASCADE"))
    squad_id: Mapped[int] = mapped_column(ForeignKey("squad.id"))
    changes: Mapped[list[Any]]
    tag: Mapped[str]
    made_at: Mapped[datetime]
    next_try_at: Mapped[datetime]
    attempts: Mapped[int]
    state: Mapped[PushState] = mapped_column(kept_by_value(PushState, "push_state"))
    ended_at: Mapped[datetime | None]
    words: Mapped[str]

    reader: Mapped[PushReaderRow] = relationship()
    squad: Mapped[SquadRow] = relationship()

    __table_args__ = (
        Index("ix_push_state_next_try_at", "state", "next_try_at"),
        Index("ix_push_reader_id_tag", "reader_id", "tag"),
        Index("ix_push_squad_id", "squad_id"),
    )


class PushedNoticeRow(Base):
    """A note of the outbox of which notices to phones were made, or need not be."""

    __tablename__ = "pushed_notice"

    notice_id: Mapped[int] = mapped_column(
        ForeignKey("notice.id", ondelete="CASCADE"), primary_key=True
    )
    noted_at: Mapped[datetime] = mapped_column(index=True)
