"""When the records were brought back from a backup, and what that meant."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from clubplanner.store.tables.base import Base


class RestoredRow(Base):
    """One time that the records were brought back.

    Attributes:
        at: When.
        taken_at: When the backup was made; None where it does not say.
        change_id: The change of the journal that holds what became of sessions; None once the
            journal has dropped it.
        found: What was kept and what was lost, figures by name.
        seen_at: When the secretary had seen to it; None before.
    """

    __tablename__ = "restored"

    id: Mapped[int] = mapped_column(primary_key=True)
    at: Mapped[datetime]
    taken_at: Mapped[datetime | None]
    change_id: Mapped[int | None] = mapped_column(
        ForeignKey("booking_change.id", ondelete="SET NULL"), index=True
    )
    found: Mapped[dict[str, Any]]
    seen_at: Mapped[datetime | None]
