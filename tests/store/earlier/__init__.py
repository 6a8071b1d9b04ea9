"""Databases as earlier versions of this program made them, kept as SQL text; see `put_earlier`."""

from __future__ import annotations

import json
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING

from tests.store.lived_in import WaysIn

if TYPE_CHECKING:
    from collections.abc import Mapping

FOLDER = Path(__file__).parent
FULL = ("0012", "0009", "0005", "0004", "0001", "0001-without-language")
"""The small club after some weeks of use, with something in every table, newest shape first; the
last is by the first step before the club had a language."""
A_SEASON = "0019-a-season"
"""The club of step 0019 with something in every table of then; what came after 0012 (a turn of the
year, a squad's end, a hire, periods, a club within) was put there by hand."""
RECENT = ("0019", "0016")
"""The same club by later steps, newest first, without rows in the tables that came after 0012."""
SPARSE = "0001-first-evening"
"""The small club with bookings and a published plan, when fourteen tables were still to come."""
STRANGE = "0001-first-hour"
"""An empty database with tables that were dropped again: it cannot be brought up to date."""


_ALL = 'SELECT * FROM "{}" ORDER BY rowid'


def put_earlier(path: Path, name: str = "0001") -> WaysIn:
    """Put a database as an earlier version made it at a place where there is none.

    Args:
        path: Where; `clubplanner init` or `store.migrate` then brings it up to date.
        name: Which: one of `FULL`, `A_SEASON`, `RECENT`, `SPARSE` or `STRANGE`.

    Returns:
        How people reach its pages; blank for what it has not. Its present is `tests.builders.NOW`.
    """
    script = (FOLDER / f"{name}.sql").read_text("utf-8")
    with closing(sqlite3.connect(path)) as connection:
        connection.executescript(script)
    return WaysIn(**json.loads(script.partition("\n")[0].removeprefix("-- ")))


def rows_of(path: Path) -> Mapping[str, list[dict[str, object]]]:
    """Return every row of every table of a database, read past our own code."""
    with closing(sqlite3.connect(path)) as connection:
        connection.row_factory = sqlite3.Row
        names = [
            name
            for (name,) in connection.execute(
                "SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY name"
            )
        ]
        return {
            name: [dict(row) for row in connection.execute(_ALL.format(name))] for name in names
        }
