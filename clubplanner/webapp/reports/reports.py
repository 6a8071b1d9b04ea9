"""Reports: one table at a time with its picture, all of them as a workbook or on paper."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from flask import Blueprint, make_response, render_template, request, url_for

from clubplanner.errors import RefusedError
from clubplanner.language import _
from clubplanner.services.reports.report import make_report
from clubplanner.services.reports.report_files import report_files, table_file
from clubplanner.services.reports.report_page import month_of, offer_days, open_report
from clubplanner.services.reports.report_paper import print_report
from clubplanner.services.reports.tables.report_tables import (
    days_in_words,
    draw_table,
    report_tables,
)
from clubplanner.services.rows.club.club import club_zone
from clubplanner.webapp.base.forms import Form
from clubplanner.webapp.base.leafing import leaf_through
from clubplanner.webapp.base.security import for_squads
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.base.taking_away import CSV, send_tables, wants_file

if TYPE_CHECKING:
    from datetime import date

    from werkzeug.wrappers import Response as BaseResponse

    from clubplanner.services.reports.report_page import ReportPage
    from clubplanner.services.reports.sums.report_values import Report

pages = Blueprint("reports", __name__, url_prefix="/desk/reports")

LINES = 12
"""Lines of one leaf: a phone shows them, drawn and as a table, on four screens or five."""


@pages.get("")
@for_squads
def report() -> str | BaseResponse:
    """Show a report on the days that are asked for, this month if none are."""
    form = Form(request.args)
    found = _report(form)
    page = open_report(found, request.args.get("show", ""))
    wanted = wants_file()
    if wanted == CSV:
        return send_tables(table_file(found, page.shown))
    if wanted:
        return send_tables(*report_files(found, page.tables))
    shown = _show(form, page)
    return make_response(shown, 422) if form.problems else shown


@pages.get("/report.pdf")
@for_squads
def paper() -> BaseResponse:
    """Send a report on paper."""
    form = Form(request.args)
    found = _report(form)
    if form.problems:
        raise RefusedError(form.problems[0].message)
    data = print_report(app_state().store, found, report_tables(found))
    response = make_response(data)
    response.headers["Content-Type"] = "application/pdf"
    name = f"report-{found.first.isoformat()}-{found.last.isoformat()}.pdf"
    response.headers["Content-Disposition"] = f'inline; filename="{name}"'
    return response


def _report(form: Form) -> Report:
    """Make the report that is asked for; on this month where its days cannot be."""
    state = app_state()
    month = month_of(state.today(club_zone(state.store)))
    if "first" not in form.values and "last" not in form.values:
        return make_report(state.store, month.first, month.last, state.clock())
    first, last = form.day("first"), form.day("last")
    if first is not None and last is not None:
        try:
            return make_report(state.store, first, last, state.clock())
        except RefusedError as fault:
            form.fault("last", str(fault))
    return make_report(state.store, month.first, month.last, state.clock())


def _show(form: Form, page: ReportPage) -> str:
    state = app_state()
    found, shown = page.report, page.shown
    leaf = leaf_through(shown.lines, LINES)
    query: dict[str, Any] = {
        "first": found.first.isoformat(),
        "last": found.last.isoformat(),
    }

    def address(key: str, first: date = found.first, last: date = found.last) -> str:
        days: dict[str, Any] = {"first": first.isoformat(), "last": last.isoformat()}
        return url_for("reports.report", show=key or None, **days)

    return render_template(
        "reports/report.html",
        page=page,
        days=days_in_words(found),
        leaf=leaf,
        rows=[shown.told(cells) for cells in shown.cells(leaf.items)],
        total=shown.told(shown.total_cells(_("Sum"))),
        nils=tuple(column.tell(0) for column in shown.columns[shown.texts :]),
        drawing=draw_table(shown, leaf.items),
        offered=offer_days(state.store, state.today(club_zone(state.store))),
        address=address,
        chosen=request.args.get("show", ""),
        paper=url_for("reports.paper", **query),
        values=form.values if form.problems else query,
        problems=form.problems,
    )
