"""Giving a squad a season of its own: it begins later than the club, or ends earlier."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.errors import RefusedError
from clubplanner.language import _
from clubplanner.services.rows.named import find_squad
from clubplanner.store.tables.season_tables import SquadSeasonRow

if TYPE_CHECKING:
    from datetime import date

    from clubplanner.store.engine import Store


def set_squad_season(
    store: Store, squad_key: str, starts_on: date | None, ends_on: date | None
) -> str:
    """Give a squad a season of its own; with neither date it trains as the club does.

    What is booked already stays; publishing books nothing outside.

    Returns:
        What was done, a sentence.

    Raises:
        MissingError: If there is no such squad.
        RefusedError: If the last date lies before the first.
    """
    if starts_on is not None and ends_on is not None and ends_on < starts_on:
        raise RefusedError(_("The last date must not lie before the first."))
    with store.write() as session:
        squad = find_squad(session, squad_key)
        row = session.get(SquadSeasonRow, squad.id)
        if starts_on is None and ends_on is None:
            if row is not None:
                session.delete(row)
            return _("%(squad)s train as long as the club does.", squad=squad.name)
        if row is None:
            row = SquadSeasonRow(squad_id=squad.id)
            session.add(row)
        row.starts_on, row.ends_on = starts_on, ends_on
        parts = [
            _("from %(starts_on)s", starts_on=starts_on) if starts_on else "",
            _("until %(ends_on)s", ends_on=ends_on) if ends_on else "",
        ]
        return _(
            "%(squad)s train %(parts)s.",
            squad=squad.name,
            parts=" ".join(part for part in parts if part),
        )
