"""Each squad's own season: when it begins and ends training."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import select
from sqlalchemy.orm import selectinload

from clubplanner.domain.times.year import SquadSeason
from clubplanner.store.tables.season_tables import SquadSeasonRow

if TYPE_CHECKING:
    from datetime import date

    from sqlalchemy.orm import Session


def load_squad_seasons(session: Session) -> dict[int, SquadSeason]:
    """Return the seasons of squads that have one of their own, by the squad's number."""
    return {
        row.squad_id: SquadSeason(row.starts_on, row.ends_on)
        for row in session.scalars(select(SquadSeasonRow))
    }


def squads_out_of_season(session: Session, day: date) -> frozenset[str]:
    """Return the keys of squads whose own season does not hold a date."""
    rows = session.scalars(select(SquadSeasonRow).options(selectinload(SquadSeasonRow.squad)))
    return frozenset(
        row.squad.key for row in rows if not SquadSeason(row.starts_on, row.ends_on).has(day)
    )
