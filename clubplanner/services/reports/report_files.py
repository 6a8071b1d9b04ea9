"""A report as tables to take away, a sheet each, with its figures' definitions beside them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from clubplanner.domain.money.amounts import digits_of
from clubplanner.language import _
from clubplanner.outputs.tables.table import Column, Kind, Table
from clubplanner.services.reports.tables.report_tables import days_in_words, main_figures

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.services.reports.sums.report_values import Report
    from clubplanner.services.reports.tables.report_table import Column as ReportColumn
    from clubplanner.services.reports.tables.report_table import ReportTable

SHARE_DECIMALS = 1


def report_files(report: Report, tables: Sequence[ReportTable[Any]]) -> tuple[Table, ...]:
    """Return the main figures, every table with its sum, and what the figures mean.

    Args:
        report: The report.
        tables: Its tables.
    """
    return (main_file(report, tables), *(table_file(report, t) for t in tables), _meanings(tables))


def main_file(report: Report, tables: Sequence[ReportTable[Any]]) -> Table:
    """Return the main figures with their definitions."""
    columns = (
        Column(_("Figure")),
        Column(_("Value"), Kind.NUMBER, 2),
        Column(_("Unit")),
        Column(_("Definition")),
    )
    rows = [(one.words, one.value, one.unit, one.meaning) for one in main_figures(tables)]
    return Table(_("Report"), columns, rows, f"{report.club}, {days_in_words(report)}")


def table_file(report: Report, table: ReportTable[Any]) -> Table:
    """Return a table with all of its lines, the sum last."""
    columns = tuple(
        Column(
            one.words,
            one.kind,
            _decimals(one),
            one.currency,
        )
        for one in table.columns
    )
    rows = [*table.cells(), table.total_cells(_("Sum"))]
    cells = [[None if cell == "" else cell for cell in row] for row in rows]
    return Table(table.title, columns, cells, days_in_words(report))


def _decimals(column: ReportColumn) -> int | None:
    if column.kind is Kind.MONEY:
        return digits_of(column.currency)
    return {Kind.SHARE: SHARE_DECIMALS, Kind.NUMBER: 0}.get(column.kind)


def _meanings(tables: Sequence[ReportTable[Any]]) -> Table:
    columns = Column(_("Table")), Column(_("Figure")), Column(_("Definition"))
    found: dict[tuple[str, str], tuple[str, str, str]] = {}
    for table in tables:
        for column in table.columns:
            if column.meaning:
                row = table.group, column.words, column.meaning
                found.setdefault((table.group, column.key), row)
        if table.note:
            found.setdefault((table.group, table.note), (table.title, "", table.note))
    return Table(_("What the figures mean"), columns, list(found.values()))
