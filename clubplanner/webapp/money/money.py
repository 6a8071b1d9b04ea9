"""What is owed for a month, and the statements of it: issued, shown, sent as files, taken back."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from flask import Blueprint, flash, make_response, redirect, render_template, request, url_for

from clubplanner.domain.money.tariffs import Payer
from clubplanner.errors import MissingError, RefusedError
from clubplanner.language import _
from clubplanner.services.money.drafts import month_of
from clubplanner.services.money.pages import see_draft, see_month, see_statement
from clubplanner.services.money.papers import months_table, print_statement, statement_table
from clubplanner.services.money.statements import LONGEST_WHY, issue, issue_all, take_back
from clubplanner.services.rows.club.club import club_zone
from clubplanner.webapp.base.forms import EARLIEST, LATEST, Form
from clubplanner.webapp.base.leafing import leaf_through
from clubplanner.webapp.base.security import for_secretary
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.base.taking_away import send_tables, wants_file

if TYPE_CHECKING:
    from werkzeug.wrappers import Response as BaseResponse

pages = Blueprint("money", __name__)

EVERYBODY = "all"
OWED, ISSUED = 60, 30
"""Rows of one leaf."""


@pages.get("/desk/money")
@for_secretary
def desk() -> str | BaseResponse:
    """Show who owes what for a month."""
    if wants_file():
        state = app_state()
        return send_tables(months_table(see_month(state.store, _month(), state.clock())))
    return _month_page(_month(), Form({}))


@pages.post("/desk/money")
@for_secretary
def issue_statements() -> str | BaseResponse:
    """Issue one statement of a month, or all that are left."""
    state = app_state()
    form = Form(request.form)
    month = _read_month(form.text("month")) or _month()
    try:
        if form.text("payer") == EVERYBODY:
            flash(issue_all(state.store, month, state.clock()))
            return redirect(url_for("money.desk", month=f"{month:%Y-%m}"))
        payer = _payer(form.text("payer"))
        number = issue(state.store, payer, form.text("key"), month, state.clock())
    except (MissingError, RefusedError) as fault:
        form.fault("issue", str(fault))
        return make_response(_month_page(month, form), 422)
    flash(_("Statement %(number)s is issued.", number=number))
    return redirect(url_for("money.statement", number=number))


@pages.get("/desk/money/<payer>/<path:key>/draft")
@for_secretary
def draft(payer: str, key: str) -> str:
    """Show what somebody owes for a month by today's tariffs, line by line."""
    state = app_state()
    page = see_draft(state.store, payer, key, _month(), state.clock())
    return render_template("money/statement.html", page=page, problems=(), values={})


@pages.get("/desk/money/statements/<int:number>")
@for_secretary
def statement(number: int) -> str | BaseResponse:
    """Show a statement as it was issued, or send its lines as a file."""
    if wants_file():
        return send_tables(statement_table(app_state().store, number))
    return _statement_page(number, Form({}))


@pages.get("/desk/money/statements/<int:number>/statement.pdf")
@for_secretary
def statement_sheet(number: int) -> BaseResponse:
    """Send a statement as a PDF."""
    state = app_state()
    response = make_response(print_statement(state.store, number, state.clock()))
    response.headers["Content-Type"] = "application/pdf"
    response.headers["Content-Disposition"] = f'inline; filename="statement-{number}.pdf"'
    return response


@pages.post("/desk/money/statements/<int:number>/take-back")
@for_secretary
def take_statement_back(number: int) -> str | BaseResponse:
    """Take a statement back, with a word why."""
    state = app_state()
    form = Form(request.form)
    why = form.text("why", LONGEST_WHY)
    if not form.problems:
        try:
            flash(take_back(state.store, number, why, state.clock()))
            return redirect(url_for("money.statement", number=number))
        except RefusedError as fault:
            form.fault("why", str(fault))
    return make_response(_statement_page(number, form), 422)


def _statement_page(number: int, form: Form) -> str:
    page = see_statement(app_state().store, number)
    return render_template(
        "money/statement.html", page=page, problems=form.problems, values=form.values
    )


def _month_page(month: date, form: Form) -> str:
    state = app_state()
    page = see_month(state.store, month, state.clock())
    return render_template(
        "money/month.html",
        page=page,
        leaf=leaf_through(page.owed, OWED),
        issued=leaf_through(page.statements, ISSUED, "issued"),
        problems=form.problems,
    )


def _month() -> date:
    """Return the month that the address asks for; else the last one that is over."""
    chosen = _read_month(request.args.get("month", ""))
    if chosen is not None:
        return chosen
    state = app_state()
    today = state.today(club_zone(state.store))
    return month_of(month_of(today) - date.resolution)


def _read_month(text: str) -> date | None:
    try:
        month = date.fromisoformat(f"{text}-01")
    except ValueError:
        return None
    return month if EARLIEST < month < LATEST else None


def _payer(text: str) -> Payer:
    found = next((payer for payer in Payer if payer.value == text), None)
    if found is None:
        raise MissingError(_("Nothing is owed for this month; look at the list of the month."))
    return found
