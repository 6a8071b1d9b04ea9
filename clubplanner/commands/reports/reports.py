"""Reports from the command line."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from clubplanner.commands.base import present
from clubplanner.commands.base.days import DAY
from clubplanner.commands.base.files_on_disk import STANDARD, refuse_both_on_output, write_file
from clubplanner.commands.base.output import json_option, say, tells_faults
from clubplanner.errors import MissingError

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from clubplanner.commands.base.context import Context
    from clubplanner.services.reports.sums.report_values import Report
    from clubplanner.services.reports.tables.report_table import ReportTable
    from clubplanner.store.engine import Store

KINDS = ("pdf", "xlsx", "csv")


@click.group()
def reports() -> None:
    """Who had which ground for how long, and what was asked, unused, lit and lost."""


@reports.command()
@click.argument("first", type=DAY)
@click.argument("last", type=DAY)
@click.option("--table", "key", help="Only this table: “squads”, “unused-months”.")
@json_option
@click.pass_obj
@tells_faults
def show(context: Context, first: date, last: date, key: str | None, as_json: bool) -> None:
    """Show a report on the days from FIRST to LAST, with what its figures mean."""
    from clubplanner.services.reports.report_page import as_value
    from clubplanner.services.reports.tables.report_tables import days_in_words, main_figures

    report, tables = _make(context.open(), first, last)
    chosen = tables if key is None else [_table(tables, key)]
    words = [f"{report.club}, {days_in_words(report)}"]
    if key is None:
        words += [f"{one.words}: {one.told} ({one.meaning})" for one in main_figures(tables)]
    for table in chosen:
        words += ["", f"{table.title} ({table.key})", *_lines(table)]
    say("\n".join(words), as_value(chosen, report), as_json=as_json)


@reports.command("export")
@click.argument("first", type=DAY)
@click.argument("last", type=DAY)
@click.option(
    "--output",
    required=True,
    type=click.Path(dir_okay=False, path_type=Path),
    help="Where to: a PDF for the committee, a workbook of all tables, or one table as CSV.",
)
@click.option("--as", "kind", type=click.Choice(KINDS), help="What it is; else by its ending.")
@click.option("--table", "key", default="squads", show_default=True, help="Which table as CSV.")
@json_option
@click.pass_obj
@tells_faults
def export_report(
    context: Context,
    first: date,
    last: date,
    output: Path,
    kind: str | None,
    key: str,
    as_json: bool,
) -> None:
    """Write a report on the days from FIRST to LAST into a file."""
    refuse_both_on_output(output, as_json=as_json)
    kind = kind or output.suffix.removeprefix(".").lower()
    if kind not in KINDS:
        raise MissingError("Name a file that ends in .pdf, .xlsx or .csv, or say which with --as.")
    store = context.open()
    report, tables = _make(store, first, last)
    write_file(output, _data(store, report, tables, kind, key))
    if output != STANDARD:
        say(f"Written: {output}", {"file": str(output)}, as_json=as_json)


def _make(store: Store, first: date, last: date) -> tuple[Report, tuple[ReportTable[Any], ...]]:
    from clubplanner.services.reports.report import make_report
    from clubplanner.services.reports.tables.report_tables import report_tables

    report = make_report(store, first, last, present.now())
    return report, report_tables(report)


def _data(
    store: Store, report: Report, tables: Sequence[ReportTable[Any]], kind: str, key: str
) -> bytes:
    from clubplanner.services.reports.report_files import report_files, table_file

    if kind == "pdf":
        from clubplanner.services.reports.report_paper import print_report

        return print_report(store, report, tables)
    if kind == "csv":
        from clubplanner.outputs.tables.text_files import write_csv

        return write_csv(table_file(report, _table(tables, key)))
    from clubplanner.outputs.tables.workbooks import write_workbook

    return write_workbook(report_files(report, tables), report.made_at)


def _table(tables: Sequence[ReportTable[Any]], key: str) -> ReportTable[Any]:
    found = next((table for table in tables if table.key == key), None)
    if found is None:
        known = ", ".join(table.key for table in tables)
        raise MissingError(f"There is no table “{key}” in this report; it has {known}.")
    return found


def _lines(table: ReportTable[Any]) -> list[str]:
    """Write a table in columns."""
    rows = [[column.words for column in table.columns]]
    rows += [table.told(cells) for cells in (*table.cells(), table.total_cells("Sum"))]
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    texts = table.texts
    written = []
    for row in rows:
        cells = [
            cell.ljust(width) if n < texts else cell.rjust(width)
            for n, (cell, width) in enumerate(zip(row, widths, strict=True))
        ]
        written.append("  ".join(cells).rstrip())
    return written + [
        f"  {column.words}: {column.meaning}" for column in table.columns if column.meaning
    ]
