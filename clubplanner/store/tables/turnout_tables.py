"""Who comes on an evening, and with how many."""

from __future__ import annotations

from datetime import date, datetime

from sqlalchemy import CheckConstraint, ForeignKey, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column, relationship

from clubplanner.store.tables.base import Base
from clubplanner.store.tables.squad_tables import SquadRow


class TurnoutRow(Base):
    """What was said of a squad's session on one date; what was not said is None.

    `is_coming` is False for a squad that stays away, True for one that comes though nothing is
    planned for it. `from_min`, `until_min` and `minutes` hold for this date in place of what the
    squad asks for every week. `said_by` and `said_at` are of whoever said something last.
    """

    __tablename__ = "turnout"

    id: Mapped[int] = mapped_column(primary_key=True)
    squad_id: Mapped[int] = mapped_column(ForeignKey("squad.id"))
    day: Mapped[date] = mapped_column(index=True)
    players: Mapped[int | None]
    goalkeepers: Mapped[int | None]
    is_coming: Mapped[bool | None]
    from_min: Mapped[int | None]
    until_min: Mapped[int | None]
    minutes: Mapped[int | None]
    said_by: Mapped[str]
    said_at: Mapped[datetime]

    squad: Mapped[SquadRow] = relationship()

    __table_args__ = (
        UniqueConstraint("squad_id", "day"),
        CheckConstraint("goalkeepers BETWEEN 0 AND players", name="keepers_are_players"),
        CheckConstraint("until_min > from_min", name="runs_forward"),
    )
