"""Each squad's own season: when it begins and ends training."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.times.year import SquadSeason
from clubplanner.store.tables.season_tables import SquadSeasonRow

if TYPE_CHECKING:
    from sqlalchemy.orm import Session


def load_squad_seasons(session: Session) -> dict[int, SquadSeason]:
    """Return the seasons of squads that have one of their own, by the squad's number."""
    return {
        row.squad_id: SquadSeason(row.starts_on, row.ends_on)
        for row in session.scalars(select(SquadSeasonRow))
    }
