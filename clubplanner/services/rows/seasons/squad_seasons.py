"""Each squad's own season: when it begins and ends training, and whether it ends for good."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import select
from sqlalchemy.orm import selectinload

from clubplanner.domain.times.year import SquadSeason
from clubplanner.store.tables.season_tables import SquadSeasonRow
from clubplanner.store.tables.squad_tables import SquadEndRow, SquadRow

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import date, datetime

    from sqlalchemy.orm import Session

    from clubplanner.domain.club.squads import Ask


@dataclass(frozen=True, slots=True)
class SquadEnd:
    """That a squad ends.

    Attributes:
        from_day: The first date without it.
        why: For whoever came to it; may be blank.
        goes_on_in: The name of the squad that its players go to; blank for none.
    """

    from_day: date
    why: str
    goes_on_in: str

    @property
    def last_day(self) -> date:
        """The last date of training."""
        return self.from_day - timedelta(days=1)


def load_squad_seasons(session: Session) -> dict[int, SquadSeason]:
    """Return the seasons of squads that have one of their own or end, by the squad's number."""
    seasons = {
        row.squad_id: SquadSeason(row.starts_on, row.ends_on)
        for row in session.scalars(select(SquadSeasonRow))
    }
    for number, end in load_squad_ends(session).items():
        own = seasons.get(number, SquadSeason())
        last = end.last_day if own.ends_on is None else min(own.ends_on, end.last_day)
        seasons[number] = SquadSeason(own.starts_on, last)
    return seasons


def load_seasons_by_key(session: Session) -> dict[str, SquadSeason]:
    """Return the same by the squad's key."""
    seasons = load_squad_seasons(session)
    rows = session.execute(select(SquadRow.key, SquadRow.id).where(SquadRow.id.in_(seasons)))
    return {key: seasons[number] for key, number in rows}


def load_squad_ends(session: Session) -> dict[int, SquadEnd]:
    """Return how squads end that do, by the squad's number."""
    rows = session.scalars(select(SquadEndRow).options(selectinload(SquadEndRow.goes_on_in)))
    return {row.squad_id: end_from_row(row) for row in rows}


def squads_gone_on(session: Session, now: datetime) -> dict[int, frozenset[int]]:
    """Return for each squad, by number, those that go on in it and have ended or do within a day.

    Whoever came to them comes to it now.
    """
    soon = (now + timedelta(days=1)).date()
    found: dict[int, set[int]] = {}
    for row in session.scalars(
        select(SquadEndRow).where(
            SquadEndRow.goes_on_in_id.is_not(None), SquadEndRow.from_day <= soon
        )
    ):
        found.setdefault(row.goes_on_in_id or 0, set()).add(row.squad_id)
    for _step in range(len(found)):  # those that went on in one of them, too
        for known in found.values():
            known |= {earlier for number in known for earlier in found.get(number, ())}
    return {number: frozenset(known) for number, known in found.items()}


def end_from_row(row: SquadEndRow) -> SquadEnd:
    """Read how a squad ends."""
    name = "" if row.goes_on_in is None else row.goes_on_in.name
    return SquadEnd(row.from_day, row.why, name)


def squads_out_of_season(session: Session, day: date) -> frozenset[str]:
    """Return the keys of squads whose own season does not hold a date."""
    return squads_without(session, day, day)


def squads_without(session: Session, first: date, last: date) -> frozenset[str]:
    """Return the keys of squads whose own season holds no date from one to another, included."""
    out = [
        number
        for number, season in load_squad_seasons(session).items()
        if not season.meets(first, last)
    ]
    return frozenset(session.scalars(select(SquadRow.key).where(SquadRow.id.in_(out))))


def asks_meanwhile(
    session: Session, asks: Iterable[tuple[int, Ask]], first: date, last: date
) -> tuple[tuple[int, Ask], ...]:
    """Return the asks of squads that train at all from one date to another, included."""
    out = squads_without(session, first, last)
    return tuple((number, ask) for number, ask in asks if ask.squad_key not in out)
