"""The club's own sizes as a table to take away, with the columns by which it is loaded again."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.inputs.club_files.size_rows import IN_METRES
from clubplanner.language import _
from clubplanner.outputs.tables.table import Column, Kind, Table
from clubplanner.services.rows.ground.own_sizes import load_own_formats

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

_WORDS = ("code", "sport", "body", "standing", "source", "note")


def sizes_table(store: Store) -> Table:
    """Return the sizes of the club's own, lengths in metres; its headings are those of the file."""
    columns = tuple(
        Column(column, Kind.TEXT if column in _WORDS else Kind.NUMBER) for column in IN_METRES
    )
    with store.read() as session:
        formats = load_own_formats(session)
    rows = [[getattr(game, column) for column in IN_METRES] for game in formats]
    return Table(_("Own sizes"), columns, rows)
