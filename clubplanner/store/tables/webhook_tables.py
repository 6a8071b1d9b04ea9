"""Webhooks: where other programs are told what was changed, and what was handed over there."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import ForeignKey, Index
from sqlalchemy.orm import Mapped, mapped_column, relationship

from clubplanner.store.tables.base import Base


class WebhookRow(Base):
    """One address of another program that is told of every change.

    Attributes:
        name: What for, in the secretary's words.
        url: Where messages go. It may be secret: never log it.
        secret: With what they are signed, base64 without the standard's prefix.
        mark: Up to where the journal has been handed over.
        failing_since: Since when nothing was taken; None while messages are.
        ended_at: When it ended; None while it goes on.
        words: Why it ended by itself; blank else.
        former: Secrets before, the newest first; those that count no more among them.
    """

    __tablename__ = "webhook"

    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str]
    url: Mapped[str]
    secret: Mapped[str]
    mark: Mapped[str]
    created_at: Mapped[datetime]
    failing_since: Mapped[datetime | None]
    ended_at: Mapped[datetime | None]
    words: Mapped[str]

    former: Mapped[list[WebhookSecretRow]] = relationship(
        back_populates="webhook", order_by="WebhookSecretRow.id.desc()"
    )


class WebhookSecretRow(Base):
    """A secret that was exchanged for another: messages are signed with it, too, for a while.

    Attributes:
        secret: Base64 without the standard's prefix.
        until: From when on it counts no more; the row is dropped some time after.
    """

    __tablename__ = "webhook_secret"

    id: Mapped[int] = mapped_column(primary_key=True)
    webhook_id: Mapped[int] = mapped_column(ForeignKey("webhook.id"), index=True)
    secret: Mapped[str]
    until: Mapped[datetime]

    webhook: Mapped[WebhookRow] = relationship(back_populates="former")


class WebhookMessageRow(Base):
    """One message to one webhook: which stretch of the journal, never what it says.

    What is sent is read from the journal at each try, so that nothing lives on here that is erased
    there. A webhook has one that waits at most, so that messages come in order.

    Attributes:
        message_id: The same at every try.
        from_mark: After which mark it begins.
        to_mark: Up to which it tells.
        next_try_at: When a worker may take it; a worker that takes it puts this off first, so that
            one that dies leaves it to another.
        taken_at: When it was taken; None while it waits to be tried (again).
        status: What was answered last, as an HTTP status; None for no answer.
        words: What went wrong the last time, for a person; blank else.
    """

    __tablename__ = "webhook_message"

    id: Mapped[int] = mapped_column(primary_key=True)
    webhook_id: Mapped[int] = mapped_column(ForeignKey("webhook.id"))
    message_id: Mapped[str] = mapped_column(unique=True)
    from_mark: Mapped[str]
    to_mark: Mapped[str]
    made_at: Mapped[datetime]
    next_try_at: Mapped[datetime]
    attempts: Mapped[int]
    status: Mapped[int | None]
    taken_at: Mapped[datetime | None]
    words: Mapped[str]

    webhook: Mapped[WebhookRow] = relationship()

    __table_args__ = (Index("ix_webhook_message_webhook_id_taken_at", "webhook_id", "taken_at"),)
