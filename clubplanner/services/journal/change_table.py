"""The list of changes as a table to take away: more of it than a page shows, without what it did.

Which booking and record a change touched is told by the page alone: a change can touch thousands.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.language import _, sentence, term
from clubplanner.outputs.tables.table import Column, Kind, Table
from clubplanner.services.journal.change_words import summarise_change
from clubplanner.services.journal.own_view import own_changes, own_records_of
from clubplanner.services.rows.snapshot import load_zone
from clubplanner.store.tables.season_tables import ChangeRow

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

MOST_TAKEN = 2_000
"""Changes of one table, the newest; earlier ones are taken away from an earlier leaf."""


def changes_table(store: Store, before: int | None = None) -> Table:
    """Return the last changes, newest first; to the secretary of a club those that concern it.

    Args:
        store: The database.
        before: Only changes with a smaller number; None for the newest.
    """
    columns = (
        Column(_("No."), Kind.NUMBER),
        Column(_("When"), Kind.INSTANT),
        Column(_("By")),
        Column(_("What was changed")),
        Column(_("Takes back no."), Kind.NUMBER),
    )
    with store.read() as session:
        query = select(ChangeRow).where(*own_changes(session))
        if before is not None:
            query = query.where(ChangeRow.id < before)
        found = session.scalars(query.order_by(ChangeRow.id.desc()).limit(MOST_TAKEN))
        rows = [
            (
                row.id,
                row.at,
                term(row.by),
                sentence(row.words or summarise_change(row, own_records_of(session, row))),
                row.undoes_id,
            )
            for row in found
        ]
        return Table(_("Changes"), columns, rows, zone=load_zone(session))
