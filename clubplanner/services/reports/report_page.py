"""A report as a page shows it: one of its tables a page, and the days that are offered."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from clubplanner.errors import MissingError
from clubplanner.language import _
from clubplanner.services.reports.tables.report_tables import (
    MainFigure,
    main_figures,
    report_tables,
)
from clubplanner.services.rows.seasons.season_rows import of_season, season_began
from clubplanner.services.rows.snapshot import load_stretches

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from clubplanner.services.reports.sums.report_values import Report
    from clubplanner.services.reports.tables.report_table import Cell, ReportTable
    from clubplanner.store.engine import Store

PURPOSES = "purposes"


@dataclass(frozen=True, slots=True)
class Days:
    """Days that are offered to report on: what they are called, first and last date, included."""

    words: str
    first: date
    last: date


@dataclass(frozen=True, slots=True)
class ReportPage:
    """A report, and the table of it that is looked at.

    Attributes:
        report: The report.
        tables: All of its tables.
        shown: The one that is looked at.
        figures: The main figures; empty where another table was asked for.
    """

    report: Report
    tables: tuple[ReportTable[Any], ...]
    shown: ReportTable[Any]
    figures: tuple[MainFigure, ...]

    @property
    def groups(self) -> tuple[tuple[str, ReportTable[Any]], ...]:
        """What tables show, each with the first table that shows it."""
        found: dict[str, ReportTable[Any]] = {}
        for table in self.tables:
            found.setdefault(table.group, table)
        return tuple(found.items())

    @property
    def mates(self) -> tuple[ReportTable[Any], ...]:
        """The tables that show the same as the one looked at, parted otherwise, and itself."""
        return tuple(table for table in self.tables if table.group == self.shown.group)


def open_report(report: Report, key: str) -> ReportPage:
    """Open a report at one of its tables.

    Args:
        report: The report.
        key: Which table; blank for the main figures, with what hours are for.

    Raises:
        MissingError: If it has no such table.
    """
    tables = report_tables(report)
    shown = next((table for table in tables if table.key == (key or PURPOSES)), None)
    if shown is None:
        raise MissingError(
            _("There is nothing of that in this report; choose one of its tables, or other days.")
        )
    return ReportPage(report, tables, shown, main_figures(tables) if not key else ())


def offer_days(store: Store, today: date) -> tuple[Days, ...]:
    """Return days to report on: this month and the last, the season, and its stretches.

    Args:
        store: The database.
        today: The present local date.
    """
    with store.read() as session:
        stretches = of_season(load_stretches(session), season_began(session, today))
    month = month_of(today)
    before = month_of(month.first - timedelta(days=1))
    offered = [
        Days(_("This month"), month.first, month.last),
        Days(_("Last month"), before.first, before.last),
    ]
    if len(stretches) > 1:
        first, last = stretches[0].starts_on, max(one.ends_on for one in stretches)
        offered.append(Days(_("Whole season"), first, last))
    return (*offered, *(Days(one.name, one.starts_on, one.ends_on) for one in stretches))


def month_of(day: date) -> Days:
    """Return the month of a date."""
    first = day.replace(day=1)
    after = first.replace(year=first.year + first.month // 12, month=first.month % 12 + 1)
    return Days("", first, after - timedelta(days=1))


def as_value(page_tables: Sequence[ReportTable[Any]], report: Report) -> dict[str, Any]:
    """Return a report as JSON for a program: its days, its main figures and every table.

    Args:
        page_tables: The report's tables.
        report: The report.
    """
    return {
        "first": report.first.isoformat(),
        "last": report.last.isoformat(),
        "club": report.club,
        "figures": [
            {"name": one.words, "value": one.value, "unit": one.unit, "meaning": one.meaning}
            for one in main_figures(page_tables)
        ],
        "tables": [_table_value(table) for table in page_tables],
    }


def _table_value(table: ReportTable[Any]) -> dict[str, Any]:
    keys = [column.key for column in table.columns]
    return {
        "key": table.key,
        "title": table.title,
        "note": table.note,
        "columns": [
            {
                "key": column.key,
                "words": column.words,
                "kind": column.kind.value,
                "meaning": column.meaning,
                "currency": column.currency,
            }
            for column in table.columns
        ],
        "rows": [_row_value(keys, row) for row in table.cells()],
        "sum": _row_value(keys, table.total_cells(_("Sum"))),
    }


def _row_value(keys: Sequence[str], cells: Sequence[Cell]) -> dict[str, Any]:
    """Return the cells of a line by their columns; exact amounts are texts, as JSON has none."""
    told = [str(cell) if isinstance(cell, Decimal) else cell for cell in cells]
    return dict(zip(keys, told, strict=True))
