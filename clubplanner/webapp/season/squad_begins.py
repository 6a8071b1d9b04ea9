"""A squad begins in mid-season: what is free is shown, and booked by one press."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import flash, make_response, redirect, render_template, request, url_for

from clubplanner.domain.problems import Problem
from clubplanner.errors import ClashError, MissingError, OutdatedError, RefusedError
from clubplanner.services.addresses.links import draw_squad_code
from clubplanner.services.rows.club.club import club_zone
from clubplanner.services.season.squads.begins import begin_squad, first_to_begin
from clubplanner.services.season.squads.begins_page import see_squad_begin
from clubplanner.webapp.base.forms import Form
from clubplanner.webapp.base.security import for_squads
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.season.season import pages

if TYPE_CHECKING:
    from datetime import date

    from werkzeug.wrappers import Response as BaseResponse

SESSION = "session-"
"""Before the number of an ask and of its session, in the names of fields."""


@pages.get("/squads/<key>/begin")
@for_squads
def see_begin(key: str) -> str | BaseResponse:
    """Show what a squad could have from a date on; from today where none is chosen."""
    return _page(key, Form(request.args))


@pages.post("/squads/<key>/begin")
@for_squads
def begin(key: str) -> str | BaseResponse:
    """Book a squad's sessions to the end of the stretch."""
    state = app_state()
    form = Form(request.form)
    from_day = form.day("from")
    if from_day is None:
        return _page(key, form)
    choices = [value for field, value in form.values.items() if field.startswith(SESSION) and value]
    try:
        began = begin_squad(state.store, key, from_day, choices, state.clock())
    except (ClashError, MissingError, OutdatedError, RefusedError) as fault:
        form.problems.append(Problem("from", "refused", str(fault)))
        return _page(key, form)
    flash(began.words)
    if not began.secret:
        return redirect(url_for("season.squad_sessions", key=key))
    address = f"{state.config.public_address}/ground/{began.secret}"
    code = draw_squad_code(address, began.holder)
    return render_template(
        "setup/squads/link.html", key=key, holder=began.holder, address=address, code=code
    )


def _page(key: str, form: Form) -> str | BaseResponse:
    state = app_state()
    now = state.clock()
    is_typed = bool(form.values.get("from"))
    from_day: date = (form.day("from") if is_typed else None) or now.astimezone(
        club_zone(state.store)
    ).date()
    page = None
    try:
        if not is_typed:
            from_day = first_to_begin(state.store, key, now)
        venue = form.values.get("venue", "")
        page = see_squad_begin(state.store, key, from_day, now, venue)
    except RefusedError as fault:
        form.problems.append(Problem("from", "refused", str(fault)))
    except MissingError as fault:
        if not is_typed:
            raise
        form.problems.append(Problem("from", "refused", str(fault)))
    words = render_template(
        "season/squad_begins.html",
        key=key,
        page=page,
        values={"from": str(from_day), **form.values},
        problems=list({problem.message: problem for problem in form.problems}.values()),
    )
    return make_response(words, 422) if form.problems and is_typed else words
