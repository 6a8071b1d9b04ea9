"""What squads asked for on given dates, by what they ask for every week."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

from clubplanner.services.rows.seasons.squad_seasons import load_seasons_by_key
from clubplanner.services.rows.snapshot import load_asks

if TYPE_CHECKING:
    from collections.abc import Collection
    from datetime import date

    from sqlalchemy.orm import Session


def asked_hours(session: Session, days: Collection[date]) -> dict[str, float]:
    """Return what each squad asked for on dates of training, in hours, by the squad's key.

    A seventh of what it asks for a week on each date; as the asks stand now, whatever they were.
    Dates outside a squad's own season do not count for it.

    Args:
        session: An open session.
        days: Local dates, each once.
    """
    seasons = load_seasons_by_key(session)
    asked: dict[str, float] = defaultdict(float)
    for _unused, ask in load_asks(session):
        own = seasons.get(ask.squad_key)
        weeks = (len(days) if own is None else sum(map(own.has, days))) / 7
        asked[ask.squad_key] += ask.sessions * ask.minutes / 60 * weeks
    return asked
