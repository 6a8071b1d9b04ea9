"""A report on paper for the committee: as many lines as people read, the others summed."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from clubplanner.domain.times.times import day_in_words
from clubplanner.language import _
from clubplanner.outputs.papers.report_sheet import (
    Meaning,
    ReportOnPaper,
    TableOnPaper,
)
from clubplanner.outputs.papers.setting import set_sheet
from clubplanner.resources import resource_folder
from clubplanner.services.reports.tables.report_tables import (
    days_in_words,
    draw_table,
    main_figures,
    picture_in_words,
)
from clubplanner.services.rows.club.club import club_zone

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.services.reports.sums.report_values import Report
    from clubplanner.services.reports.tables.report_table import ReportTable
    from clubplanner.store.engine import Store

MOST_LINES = 30
"""Lines of a table on paper; those that matter least are one line together."""
MOST_BARS = 12
"""Bars of a picture on paper, likewise."""


def print_report(store: Store, report: Report, tables: Sequence[ReportTable[Any]]) -> bytes:
    """Set a report as a PDF.

    Args:
        store: The database, for the club's time zone.
        report: The report.
        tables: Its tables.
    """
    made = report.made_at.astimezone(club_zone(store))
    told: set[str] = set()
    paper = ReportOnPaper(
        club=report.club,
        title=_("Who had which ground"),
        days=days_in_words(report),
        figures=tuple(Meaning(f.words, f.meaning, f.told) for f in main_figures(tables)),
        tables=tuple(_on_paper(table, told) for table in tables if table.lines),
        made=_(
            "Made %(day)s, %(time)s.", day=day_in_words(made.date()), time=made.strftime("%H:%M")
        ),
    )
    web = resource_folder("web")
    source = (web / "templates" / "reports" / "report.typ").read_text("utf-8")
    return set_sheet(paper, source, (str(web / "static" / "fonts"),), report.made_at)


def _on_paper(table: ReportTable[Any], told: set[str]) -> TableOnPaper:
    """Return a table; definitions that stand on the paper already are not told again.

    Args:
        table: The table.
        told: The groups whose definitions stand there; gets the table's own.
    """
    short, drawn = table.shortened(MOST_LINES), table.shortened(MOST_BARS)
    meanings = () if table.group in told else [c for c in table.columns if c.meaning]
    told.add(table.group)
    return TableOnPaper(
        title=table.title,
        headings=tuple(column.words for column in table.columns),
        texts=table.texts,
        rows=tuple(tuple(table.told(cells)) for cells in short.cells()),
        total=tuple(table.told(table.total_cells(_("Sum")))),
        drawing=draw_table(drawn, drawn.lines),
        drawing_words=picture_in_words(drawn, drawn.lines),
        meanings=tuple(Meaning(column.words, column.meaning) for column in meanings),
        note=table.note,
    )
