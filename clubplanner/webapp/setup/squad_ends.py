"""A squad ends: what goes along is told first, and done by a second press."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import flash, make_response, redirect, render_template, request, url_for

from clubplanner.domain.problems import Problem
from clubplanner.errors import MissingError, OutdatedError, RefusedError
from clubplanner.services.setup.squads.ends import end_squad_from
from clubplanner.services.setup.squads.ends_page import see_squad_end
from clubplanner.webapp.base.forms import LONGEST_REASON, Form
from clubplanner.webapp.base.security import for_squads
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.setup.squads import pages

if TYPE_CHECKING:
    from werkzeug.wrappers import Response as BaseResponse


@pages.get("/squads/<key>/end")
@for_squads
def see_end(key: str) -> str | BaseResponse:
    """Ask for the date, or say what would go from a date on."""
    return _page(key, Form(request.args))


@pages.post("/squads/<key>/end")
@for_squads
def end(key: str) -> str | BaseResponse:
    """Let a squad end from a date on."""
    state = app_state()
    form = Form(request.form)
    from_day = form.day("from")
    if from_day is None or form.problems:
        return _page(key, form)
    try:
        words = end_squad_from(
            state.store,
            key,
            from_day,
            state.clock(),
            why=form.text("why", LONGEST_REASON),
            goes_on_in=form.text("goes_on"),
            keeps_matches=form.text("matches") == "keep",
            mails=form.text("mails") == "yes",
            seen=form.text("seen"),
        )
    except (MissingError, OutdatedError, RefusedError) as fault:
        form.problems.append(Problem("from", "refused", str(fault)))
        return _page(key, form)
    flash(words)
    return redirect(url_for("squads.edit_squad", key=key))


def _page(key: str, form: Form) -> str | BaseResponse:
    state = app_state()
    from_day = form.day("from") if form.values.get("from") else None
    form.text("why", LONGEST_REASON)
    page = see_squad_end(state.store, key, None, state.clock())
    if from_day is not None and not page.ending:
        try:
            page = see_squad_end(state.store, key, from_day, state.clock())
        except RefusedError as fault:
            form.problems.append(Problem("from", "refused", str(fault)))
    words = render_template(
        "setup/squads/end.html",
        page=page,
        values={"matches": "call off", "mails": "yes", **form.values},
        problems=list({problem.message: problem for problem in form.problems}.values()),
    )
    return make_response(words, 422) if form.problems else words
