"""Calendars of others that hold our ground: taken in, looked at, decided on, ended."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import flash, make_response, redirect, render_template, request, url_for

from clubplanner.errors import ClashError, MissingError, OutdatedError, RefusedError
from clubplanner.language import _, ngettext
from clubplanner.services.calendars.busy_calendars import (
    LARGEST_BYTES,
    LONGEST_NAME,
    BusyWish,
    add_busy_calendar,
    decide_busy,
    end_calendar,
    refresh_calendar,
)
from clubplanner.services.calendars.busy_pages import list_busy_calendars, see_busy_calendar
from clubplanner.services.calendars.calendar_tables import busy_table
from clubplanner.services.calendars.fetching import URL_LIMIT, fetch_within
from clubplanner.services.evening.evening import booking_choices
from clubplanner.services.rows.club.club import club_zone
from clubplanner.webapp.base.choosing import only_looks
from clubplanner.webapp.base.forms import Form
from clubplanner.webapp.base.security import for_secretary
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.base.taking_away import send_tables, wants_file
from clubplanner.webapp.evening.closures import read_decisions
from clubplanner.webapp.season.season import pages

if TYPE_CHECKING:
    from werkzeug.wrappers import Response as BaseResponse


@pages.get("/busy")
@for_secretary
def busy_calendars() -> str | BaseResponse:
    """List the calendars, and the form that takes one in."""
    if wants_file():
        store = app_state().store
        lines = list_busy_calendars(store, app_state().clock())
        return send_tables(busy_table(lines, club_zone(store)))
    return _list_page(Form(request.args), 200)


@pages.post("/busy")
@for_secretary
def add_busy() -> str | BaseResponse:
    """Take a calendar in; what displaces nobody is booked at once."""
    state = app_state()
    form = Form(request.form)
    if only_looks():
        return _list_page(form, 200)
    wish = _read_wish(form)
    if wish is not None:
        try:
            done = add_busy_calendar(state.store, wish, state.clock(), fetch_within(state.config))
        except (MissingError, RefusedError) as fault:
            form.fault("url", str(fault))
        else:
            flash(done.sentence)
            return redirect(url_for("season.busy_calendar", number=done.number))
    return _list_page(form, 422)


@pages.get("/busy/<int:number>")
@for_secretary
def busy_calendar(number: int) -> str | BaseResponse:
    """Show one calendar and what waits for a decision; nothing is changed."""
    state = app_state()
    page = see_busy_calendar(state.store, number, state.clock())
    return render_template("calendars/busy_calendar.html", page=page)


@pages.post("/busy/<int:number>/read")
@for_secretary
def read_busy_calendar(number: int) -> str | BaseResponse:
    """Read a calendar again, now."""
    state = app_state()
    fetch = fetch_within(state.config)
    flash(refresh_calendar(state.store, number, state.clock(), fetch).sentence)
    return redirect(url_for("season.busy_calendar", number=number))


@pages.post("/busy/<int:number>/decide")
@for_secretary
def decide_busy_calendar(number: int) -> str | BaseResponse:
    """Book what displaces somebody, as it was decided."""
    state = app_state()
    decisions = read_decisions(request.form)
    try:
        done = decide_busy(state.store, number, decisions, state.clock())
    except (ClashError, OutdatedError) as fault:
        flash(str(fault), "caution")
    else:
        flash(done.sentence)
    return redirect(url_for("season.busy_calendar", number=number))


@pages.post("/busy/<int:number>/end")
@for_secretary
def end_busy_calendar(number: int) -> str | BaseResponse:
    """Stop reading a calendar; its bookings to come are given back."""
    state = app_state()
    count = end_calendar(state.store, number, state.clock())
    flash(
        ngettext(
            "The calendar is no longer read; %(num)s of its bookings was given back.",
            "The calendar is no longer read; %(num)s of its bookings were given back.",
            count,
        )
    )
    return redirect(url_for("season.busy_calendars"))


def _list_page(form: Form, status: int) -> BaseResponse:
    state = app_state()
    html = render_template(
        "calendars/busy.html",
        lines=list_busy_calendars(state.store, state.clock()),
        choices=booking_choices(state.store, None),
        values=form.values,
        problems=form.problems,
    )
    return make_response(html, status)


def _read_wish(form: Form) -> BusyWish | None:
    name = form.text("name", LONGEST_NAME)
    if not name:
        form.fault("name", _("Enter whose calendar it is."))
    area_id = form.number("area", _("Choose the ground it holds."))
    url = form.text("url", URL_LIMIT)
    sent = request.files.get("file")
    data = sent.read(LARGEST_BYTES + 1) if sent is not None and sent.filename else None
    if bool(url) == bool(data):
        form.fault("url", _("Give the calendar's address or its file, one of the two."))
    if form.problems or area_id is None:
        return None
    return BusyWish(name, area_id, url, data)
