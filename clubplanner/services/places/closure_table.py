"""What is closed or open with a condition, as a table to take away."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.language import _
from clubplanner.outputs.tables.table import Column, Kind, Table

if TYPE_CHECKING:
    from collections.abc import Sequence
    from zoneinfo import ZoneInfo

    from clubplanner.services.places.closure_list import ClosureLine


def closures_table(lines: Sequence[ClosureLine], zone: ZoneInfo) -> Table:
    """Return closures and conditions, now and ahead, by start."""
    columns = (
        Column(_("From"), Kind.INSTANT),
        Column(_("Until"), Kind.INSTANT),
        Column(_("Ground")),
        Column(_("What")),
    )
    rows = [(line.during.starts_at, line.during.ends_at, line.place, line.words) for line in lines]
    return Table(_("Closures"), columns, rows, zone=zone)
