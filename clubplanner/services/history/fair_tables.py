"""What each squad and each club has had, as tables to take away."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.domain.times.times import day_month_year
from clubplanner.language import _
from clubplanner.outputs.tables.table import Column, Kind, Table

if TYPE_CHECKING:
    from clubplanner.outputs.tables.table import Cell
    from clubplanner.services.history.fairness import FairPage, SquadFair


def fairness_tables(page: FairPage) -> tuple[Table, ...]:
    """Return the squads, and the clubs where the record names any, as the page lists them."""
    words = _(
        "%(first)s to %(last)s",
        first=day_month_year(page.since),
        last=day_month_year(page.until),
    )
    columns = (
        Column(_("Squad")),
        Column(_("Hours had"), Kind.HOURS),
        Column(_("Hours asked for"), Kind.HOURS),
        Column(_("Had, of what it asked for"), Kind.SHARE),
        Column(_("Hours of an even share"), Kind.HOURS),
        Column(_("Good ground"), Kind.SHARE),
        Column(_("Middling ground"), Kind.SHARE),
        Column(_("Bad ground"), Kind.SHARE),
        Column(_("Points of earlier stretches"), Kind.NUMBER, decimals=0),
    )
    squads = Table(_("Fairness"), columns, [_squad(squad) for squad in page.squads], words)
    if not page.clubs:
        return (squads,)
    of_clubs = (
        Column(_("Club")),
        Column(_("Squads"), Kind.NUMBER),
        Column(_("Hours had"), Kind.HOURS),
        Column(_("Hours asked for"), Kind.HOURS),
        Column(_("Had, of what they asked for"), Kind.SHARE),
        Column(_("Part of all hours"), Kind.SHARE),
    )
    rows = [
        (
            club.name or _("Squads of no club"),
            club.squads,
            club.hours,
            club.asked,
            club.served,
            club.share,
        )
        for club in page.clubs
    ]
    return squads, Table(_("Club by club"), of_clubs, rows, words)


def _squad(squad: SquadFair) -> tuple[Cell, ...]:
    ground = squad.ground
    parts = (None,) * 3 if ground is None else (ground.good, ground.middling, ground.bad)
    return (
        squad.name,
        squad.hours,
        squad.asked,
        squad.served,
        squad.even,
        *parts,
        squad.balance,
    )
