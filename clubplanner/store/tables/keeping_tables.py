"""For how long the club keeps what is over, and whom people ask about what is kept of them."""

from __future__ import annotations

from typing import Any

from sqlalchemy import CheckConstraint
from sqlalchemy.orm import Mapped, mapped_column

from clubplanner.store.tables.base import Base


class KeepingRow(Base):
    """What the club chose: one row, and what is usual without it.

    `days` holds periods by their names, as far as they were chosen.
    """

    __tablename__ = "keeping"

    id: Mapped[int] = mapped_column(primary_key=True)
    ask: Mapped[str]
    days: Mapped[dict[str, Any]]

    __table_args__ = (CheckConstraint("id = 1", name="one_choice"),)
