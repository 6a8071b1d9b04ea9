"""The table of share-outs that are asked for, run in processes of their own."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from clubplanner.store.tables.base import Base


class ShareRunRow(Base):
    """A run of a share-out: what was asked for, how far it is, and what came of it.

    `asked_at` is the club's clock; `begun_at`, `seen_at` (the process's last sign of life) and
    `ended_at` are the machine's.
    """

    __tablename__ = "share_run"

    id: Mapped[int] = mapped_column(primary_key=True)
    request: Mapped[dict[str, Any]]
    title: Mapped[str]
    state: Mapped[str]
    asked_at: Mapped[datetime]
    begun_at: Mapped[datetime | None]
    seen_at: Mapped[datetime]
    ended_at: Mapped[datetime | None]
    is_stop_asked: Mapped[bool]
    progress: Mapped[dict[str, Any]]
    share_out_id: Mapped[int | None] = mapped_column(ForeignKey("share_out.id"))
    fault: Mapped[str]
