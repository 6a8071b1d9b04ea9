"""Reports on days: who had which ground, what was asked, unused, lit and lost."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from pydantic import Field

from clubplanner.domain.problems import Problem
from clubplanner.errors import FaultyInputError, RefusedError
from clubplanner.services.reports.report import make_report
from clubplanner.services.reports.report_page import as_value, open_report
from clubplanner.services.reports.tables.report_tables import report_tables
from clubplanner.webapp.api.frame.operations import operation
from clubplanner.webapp.api.frame.values import Day, ShortWords, Value, example
from clubplanner.webapp.base.security import for_squads
from clubplanner.webapp.base.state import app_state

if TYPE_CHECKING:
    from clubplanner.services.reports.sums.report_values import Report

_FIGURE = {"name": "Hours used", "value": 12.5, "unit": "h", "meaning": "How long ground was held."}
_COLUMN = {
    "key": "squad",
    "words": "Squad",
    "kind": "text",
    "meaning": "",
    "currency": "",
}
_TABLE = {
    "key": "squads",
    "title": "Hours, by squad",
    "note": "",
    "columns": [_COLUMN],
    "rows": [{"squad": "U12 Kestrels"}],
    "sum": {"squad": "Sum"},
}


class ReportQuery(Value):
    """Which report."""

    first_day: Day
    last_day: Day = Field(description="Included; it may lie ahead, and within three years.")
    table: ShortWords = Field("", description="Key of the one table that is wanted; blank for all.")


class ReportFigure(Value):
    """One of the main figures."""

    model_config = example(**_FIGURE)

    name: str
    value: float | None = Field(description="None where there is nothing to measure it by.")
    unit: str = Field(description="Of what: h, % or a currency; may be blank.")
    meaning: str = Field(description="Its definition.")


class ReportColumn(Value):
    """A column of a table."""

    model_config = example(**_COLUMN)

    key: str = Field(description="Its member in rows.")
    words: str = Field(description="Its heading.")
    kind: str = Field(description="text, number, hours, share (0 to 1) or money (exact, a text).")
    meaning: str = Field(description="The definition of its figures; blank for text.")
    currency: str = Field(description="Of money (ISO 4217); may be blank.")


class ReportTableValue(Value):
    """A table of a report; its rows add up to its sum."""

    model_config = example(**_TABLE)

    key: str
    title: str
    note: str
    columns: list[ReportColumn]
    rows: list[dict[str, str | int | float | None]]
    sum: dict[str, str | int | float | None]


class ReportValue(Value):
    """A report; every table is a sum over the same figures, so that none disagrees."""

    model_config = example(
        club="Alderby Rovers",
        first_day="2026-10-12",
        last_day="2026-11-25",
        figures=[_FIGURE],
        tables=[_TABLE],
    )

    club: str
    first_day: date
    last_day: date = Field(description="Included.")
    figures: list[ReportFigure]
    tables: list[ReportTableValue]


@operation("GET", "/reports", answer=ReportValue, query=ReportQuery)
@for_squads
def read_report(query: ReportQuery) -> ReportValue:
    """Report on some days: main figures and tables, each figure with its definition.

    The secretary of a club has it of that club's squads, and nothing of the ground's time.
    """
    report = _report(query)
    tables = report_tables(report)
    chosen = [open_report(report, query.table).shown] if query.table else tables
    told = as_value(chosen, report)
    return ReportValue(
        club=report.club,
        first_day=report.first,
        last_day=report.last,
        figures=[ReportFigure.model_validate(one) for one in told["figures"]],
        tables=[ReportTableValue.model_validate(one) for one in told["tables"]],
    )


def _report(query: ReportQuery) -> Report:
    state = app_state()
    try:
        return make_report(state.store, query.first_day, query.last_day, state.clock())
    except RefusedError as fault:
        raise FaultyInputError([Problem("last_day", "order", str(fault))]) from fault
