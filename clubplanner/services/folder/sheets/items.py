"""What something that was typed of the next season is about, without numbers of rows."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from clubplanner.inputs.reading.exact_cells import read_cell, write_cell

if TYPE_CHECKING:
    from clubplanner.services.folder.sheets.names import Names

_ABOUT_A_ROW = re.compile(r"(squad|stretch|break)-(\d{1,18})", re.ASCII)
_NAMED = re.compile(r"(squad|stretch|break): (.*)", re.DOTALL)
_TABLES = {"squad": "squad", "stretch": "stretch", "break": "training_break"}


class Item:
    """A squad, a stretch or a break by its name or place in its file; anything else as it is."""

    def write(self, value: str, names: Names) -> str:
        """Write what it is about; blank where that is gone."""
        match = _ABOUT_A_ROW.fullmatch(value)
        if match is None:
            return write_cell(value)
        called = names.texts[_TABLES[match[1]]].get(int(match[2]))
        return "" if called is None else write_cell(f"{match[1]}: {called}")

    def read(self, cell: str, names: Names) -> str:
        """Find what it is about."""
        text = read_cell(cell)
        match = _NAMED.fullmatch(text)
        if match is None:
            return text
        return f"{match[1]}-{names.find(_TABLES[match[1]], match[2])}"
