"""A row of the squads file, cell by cell."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from clubplanner.domain.formulas import bare_cell
from clubplanner.domain.times.windows import parse_windows
from clubplanner.inputs.reading.faults import show_value
from clubplanner.inputs.reading.rows import Row
from clubplanner.language import _

if TYPE_CHECKING:
    from clubplanner.domain.times.times import Window

_YES = {"yes", "y", "true", "1", "x"}
_NO = {"no", "n", "false", "0", ""}


class SquadCells(Row):
    """A row of the squads file; its readers note faults and return something harmless instead."""

    __slots__ = ()

    def text(self, column: str) -> str:
        """Return a cell, stripped and not guarded any more; blank when absent."""
        return bare_cell(self.cells.get(column, "").strip())

    def whole(self, column: str, low: int, high: int, default: int | None = None) -> int:
        """Return a whole number from low to high; the default, if any, when the cell is blank."""
        text = self.text(column)
        if not text and default is not None:
            return default
        if not re.fullmatch(r"\d{1,9}", text):
            shown = (
                _("%(words)s is not a whole number", words=show_value(text))
                if text
                else _("A number is missing")
            )
            self.fault(
                column,
                "not-a-number",
                _("%(shown)s; write one from %(low)s to %(high)s", shown=shown, low=low, high=high),
            )
            return low
        value = int(text)
        if not low <= value <= high:
            self.fault(
                column,
                "out-of-range",
                _(
                    "%(value)s is too %(how)s; write a number from %(low)s to %(high)s",
                    value=value,
                    how=_("small") if value < low else _("large"),
                    low=low,
                    high=high,
                ),
            )
        return value

    def windows(self, column: str) -> tuple[Window, ...]:
        """Return days with times; none when the cell is blank or has a fault."""
        try:
            return parse_windows(self.text(column))
        except ValueError as fault:
            self.fault(column, "not-a-window", str(fault))
            return ()

    def yes(self, column: str) -> bool:
        """Tell whether a cell says yes; a blank one says no."""
        text = self.text(column).lower()
        if text not in _YES | _NO:
            self.fault(
                column,
                "not-yes-or-no",
                _("%(words)s is neither yes nor no; write yes or no", words=show_value(text)),
            )
        return text in _YES
