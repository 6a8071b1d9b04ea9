"""The turn of the year: what is typed of the next season, seasons begun so, earlier names."""

from __future__ import annotations

from datetime import date, datetime
from typing import TYPE_CHECKING, Any

from sqlalchemy import ForeignKey, Index, select
from sqlalchemy.orm import Mapped, mapped_column, relationship

from clubplanner.store.tables.base import Base
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

KNOWN = "earlier_names"
"""Under which a session knows the earlier names of all squads."""


class NextSeasonAnswerRow(Base):
    """What somebody typed about one thing of the next season, until the season is made.

    `item` says which thing ("squad-12"); `given` is what was typed, field by field, as far as it is
    not what the program proposes.
    """

    __tablename__ = "next_season_answer"

    id: Mapped[int] = mapped_column(primary_key=True)
    item: Mapped[str] = mapped_column(unique=True)
    given: Mapped[dict[str, Any]]
    by: Mapped[str]


class SeasonRow(Base):
    """A season that was begun in one go: a turn of the year.

    `kept` holds what the journal does not, so that it can be taken back: keys of squads, and which
    addresses and coaches ended or went on elsewhere.
    """

    __tablename__ = "season"

    id: Mapped[int] = mapped_column(primary_key=True)
    starts_on: Mapped[date] = mapped_column(unique=True)
    made_at: Mapped[datetime]
    kept: Mapped[dict[str, Any]]


class SquadNameRow(Base):
    """What a squad was called in a season that is over: whatever begins before `until` keeps it."""

    __tablename__ = "squad_name"

    id: Mapped[int] = mapped_column(primary_key=True)
    squad_id: Mapped[int] = mapped_column(ForeignKey("squad.id"))
    season_id: Mapped[int] = mapped_column(ForeignKey("season.id"), index=True)
    until: Mapped[datetime]
    name: Mapped[str]

    squad: Mapped[SquadRow] = relationship()
    season: Mapped[SeasonRow] = relationship()

    __table_args__ = (Index("ix_squad_name_squad_id_until", "squad_id", "until"),)


def earlier_name(session: Session, squad_id: int, at: datetime) -> str | None:
    """Return what a squad was called at an instant, if not what it is called now."""
    if KNOWN not in session.info:
        found: dict[int, list[tuple[datetime, str]]] = {}
        columns = SquadNameRow.squad_id, SquadNameRow.until, SquadNameRow.name
        with session.no_autoflush:
            for number, until, name in session.execute(select(*columns).order_by(columns[1])):
                found.setdefault(number, []).append((until, name))
        session.info[KNOWN] = found
    names = session.info[KNOWN].get(squad_id, ())
    return next((name for until, name in names if at < until), None)


def forget_earlier_names(session: Session) -> None:
    """Let a session read the earlier names anew, after it has written some."""
    session.info.pop(KNOWN, None)
