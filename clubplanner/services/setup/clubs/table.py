"""The clubs within a record as a table to take away."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.language import _
from clubplanner.outputs.tables.table import Column, Kind, Table

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.services.setup.clubs.page import ClubLine


def clubs_table(lines: Sequence[ClubLine]) -> Table:
    """Return the clubs, those that have ended last."""
    columns = (
        Column(_("Club")),
        Column(_("Squads"), Kind.NUMBER),
        Column(_("Secretaries")),
        Column(_("Takes part")),
    )
    rows = [
        (
            one.name,
            one.squads,
            ", ".join(name for _number, name in one.secretaries),
            _("no") if one.has_ended else _("yes"),
        )
        for one in lines
    ]
    return Table(_("Clubs"), columns, rows)
