"""That a squad ends, in words: the same on pages, in calendars, and as the reason in mails."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.domain.times.times import day_in_words
from clubplanner.language import _
from clubplanner.services.rows.seasons.squad_seasons import end_from_row, load_squad_ends
from clubplanner.store.tables.squad_tables import SquadEndRow, SquadRow

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator
    from datetime import date

    from sqlalchemy.orm import Session

    from clubplanner.services.rows.seasons.squad_seasons import SquadEnd

MOST_STEPS = 9
"""Squads that go on in one another are followed so far."""


def ending_in_words(squad_name: str, end: SquadEnd) -> str:
    """Say from when a squad is no more, why, and where it goes on; a clause without a full stop."""
    words = _(
        "%(squad)s end, with no session from %(day)s on",
        squad=squad_name,
        day=day_in_words(end.from_day),
    )
    if end.why:
        words += f": {end.why.rstrip('.')}"
    if end.goes_on_in:
        words += "; " + _("they go on as %(other)s", other=end.goes_on_in)
    return words


def ending_of(session: Session, squad: SquadRow) -> str:
    """Say that a squad ends; blank if it does not."""
    row = session.get(SquadEndRow, squad.id)
    return "" if row is None else ending_in_words(squad.name, end_from_row(row))


def endings_of(session: Session, squads: Iterable[SquadRow]) -> tuple[str, ...]:
    """Say which of some squads end, in their order."""
    ends = load_squad_ends(session)
    return tuple(ending_in_words(one.name, ends[one.id]) for one in squads if one.id in ends)


def squad_on(session: Session, squad: SquadRow, day: date) -> SquadRow:
    """Return the squad that another is on a date: the one that it goes on in, once it has ended."""
    for other, since in steps_on(session, squad):
        if day < since:
            break
        squad = other
    return squad


def steps_on(session: Session, squad: SquadRow) -> Iterator[tuple[SquadRow, date]]:
    """Yield the squads that a squad goes on in, one after the other, each from a date on."""
    since = None
    for _step in range(MOST_STEPS):
        row = session.get(SquadEndRow, squad.id)
        if row is None or row.goes_on_in is None:
            return
        squad = row.goes_on_in
        since = row.from_day if since is None else max(since, row.from_day)
        yield squad, since
