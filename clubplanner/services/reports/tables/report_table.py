"""A table of a report: lines that add up, each figure with its definition.

Page, workbook, paper and command show the same table, whole or a leaf of it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cached_property
from typing import TYPE_CHECKING, Any, Generic, TypeVar

from clubplanner.domain.money.amounts import digits_of, tell_amount
from clubplanner.language import figure, ngettext
from clubplanner.outputs.tables.table import Kind
from clubplanner.services.reports.tables.report_sums import Sum

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from clubplanner.outputs.charts.parts_chart import PartLook

Cell = str | int | float | Decimal | None
_Sum = TypeVar("_Sum", bound=Sum)


@dataclass(frozen=True, slots=True)
class Column:
    """A column.

    Attributes:
        key: Its name for programs.
        words: Its heading.
        kind: What it holds: hours and shares are numbers (a share 0 to 1), money is exact.
        meaning: The definition of its figures; blank for text.
        currency: Of money: a code of ISO 4217; may be blank.
    """

    key: str
    words: str
    kind: Kind
    meaning: str = ""
    currency: str = ""

    def tell(self, cell: Cell) -> str:
        """Write a cell as people read it; a dash for a figure that there is not."""
        if cell is None:
            return "–"
        if isinstance(cell, str):
            return cell
        if self.kind is Kind.SHARE:
            return f"{figure(100 * cell, ',.1f')} %"
        if self.kind is Kind.HOURS:
            return figure(cell, ",.2f")
        if isinstance(cell, Decimal):
            units = int(cell.scaleb(digits_of(self.currency)))
            return tell_amount(units, self.currency)
        return figure(cell, ",d")


@dataclass(frozen=True, slots=True)
class Line(Generic[_Sum]):
    """A line of a table.

    Attributes:
        names: What it is about: a cell for each column of text.
        sum: What its figures are made of.
        is_rest: Whether it stands for what the table does not go into.
    """

    names: tuple[str, ...]
    sum: _Sum
    is_rest: bool = False


@dataclass(frozen=True, slots=True)
class Picture(Generic[_Sum]):
    """How lines are drawn as bars.

    Attributes:
        looks: What each part of a bar is, in order.
        parts: How long each part is.
        told: The figure at the bar's end, in words.
        frame: How long a frame round the bar is; None for no frame.
        frame_words: What frames stand for.
        whole: How long the longest bar may be, such as 1 for shares; None for that of the longest.
    """

    looks: tuple[PartLook, ...]
    parts: Callable[[_Sum], tuple[float, ...]]
    told: Callable[[_Sum], str]
    frame: Callable[[_Sum], float] | None = None
    frame_words: str = ""
    whole: float | None = None


@dataclass(frozen=True)
class ReportTable(Generic[_Sum]):
    """A table whose last line is the sum of the others.

    Attributes:
        key: Its name in addresses and for programs.
        group: What it shows: "Hours".
        by: By what it is parted: "by squad".
        columns: Texts first, then figures.
        lines: In the order in which they are shown; may be none.
        nothing: The sum of no line.
        figures: The cells of a line's figures, from its sum and that of all.
        weight: How much a line matters where not all can be shown.
        picture: How it is drawn; None for a table that is not.
        note: A sentence on all of it; may be blank.
    """

    key: str
    group: str
    by: str
    columns: tuple[Column, ...]
    lines: tuple[Line[_Sum], ...]
    nothing: _Sum
    figures: Callable[[_Sum, _Sum], tuple[Cell, ...]]
    weight: Callable[[_Sum], float]
    picture: Picture[_Sum] | None = None
    note: str = ""

    @property
    def title(self) -> str:
        """What it shows, and by what: "Hours, by squad"."""
        return f"{self.group}, {self.by}"

    @cached_property
    def total(self) -> _Sum:
        """The sum of all lines."""
        total = self.nothing
        for line in self.lines:
            total += line.sum
        return total

    @property
    def texts(self) -> int:
        """How many columns of text begin it."""
        return sum(column.kind is Kind.TEXT for column in self.columns)

    def cells(self, lines: Iterable[Line[_Sum]] | None = None) -> list[tuple[Cell, ...]]:
        """Return the cells of lines, all of them unless others are given."""
        total = self.total
        chosen = self.lines if lines is None else lines
        return [(*line.names, *self.figures(line.sum, total)) for line in chosen]

    def total_cells(self, words: str) -> tuple[Cell, ...]:
        """Return the cells of the sum, called by some words."""
        total = self.total
        blank = ("",) * (self.texts - 1)
        return (words, *blank, *self.figures(total, total))

    def told(self, cells: Iterable[Cell]) -> list[str]:
        """Write the cells of a line as people read them."""
        return [column.tell(cell) for column, cell in zip(self.columns, cells, strict=True)]

    def shortened(self, most: int) -> ReportTable[_Sum]:
        """Return the table with the lines that matter most, and all others as a single one.

        Args:
            most: How many lines it may have, the sum aside.
        """
        if len(self.lines) <= most:
            return self
        ranked = sorted(
            range(len(self.lines)),
            key=lambda n: (self.lines[n].is_rest, self.weight(self.lines[n].sum)),
            reverse=True,
        )
        kept = set(ranked[: most - 1])
        rest = [line for n, line in enumerate(self.lines) if n not in kept]
        value = self.nothing
        for line in rest:
            value += line.sum
        words = ngettext("%(num)s more", "%(num)s more", len(rest))
        more: Line[Any] = Line((words, *("",) * (self.texts - 1)), value, is_rest=True)
        own = [line for n, line in enumerate(self.lines) if n in kept]
        inner = [line for line in own if not line.is_rest]
        return replace(self, lines=(*inner, more, *(line for line in own if line.is_rest)))
