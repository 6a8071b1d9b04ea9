"""Writing a club's own sizes as the table that they could be loaded from."""

from __future__ import annotations

import csv
import io
from typing import TYPE_CHECKING

from clubplanner.domain.formulas import guard_cell
from clubplanner.inputs.club_files.sizes import COLUMNS, UNITS

if TYPE_CHECKING:
    from collections.abc import Iterable

    from clubplanner.domain.ground.formats import GameFormat

METRES, DIGITS = "m", 6
"""Lengths go out in metres, to as many digits as are read."""
_OTHER_UNITS = tuple(f"_{unit}" for unit in UNITS if unit != METRES)
IN_METRES = tuple(column for column in COLUMNS if not column.endswith(_OTHER_UNITS))
"""Columns of a table of which all lengths are in metres: the fields of a format."""


def write_sizes(formats: Iterable[GameFormat]) -> str:
    """Write sizes as a table that `read_sizes` reads back the same."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(IN_METRES)
    for game in formats:
        writer.writerow([_cell(getattr(game, column)) for column in IN_METRES])
    return text.getvalue()


def _cell(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, float):
        return f"{value:.{DIGITS}f}".rstrip("0").rstrip(".")
    return guard_cell(str(value))
