"""Other dates of a stretch: what its weeks become is told first, and done by a second press."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import flash, make_response, redirect, render_template, request, url_for

from clubplanner.domain.problems import Problem
from clubplanner.errors import ClashError, OutdatedError, RefusedError
from clubplanner.services.season.stretch_dates import change_stretch_dates, see_stretch_dates
from clubplanner.webapp.base.forms import Form
from clubplanner.webapp.base.security import for_secretary
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.season.season import pages

if TYPE_CHECKING:
    from werkzeug.wrappers import Response as BaseResponse

CHOICE = "at-"
"""Before the key of a session that a rule stands in the way of, in the names of fields."""


@pages.get("/year/stretches/<key>")
@for_secretary
def see_stretch(key: str) -> str | BaseResponse:
    """Say what other dates of a stretch would change."""
    return _page(key, Form(request.args))


@pages.post("/year/stretches/<key>")
@for_secretary
def move_stretch(key: str) -> str | BaseResponse:
    """Give a stretch other dates; its weeks go on, or end with them."""
    state = app_state()
    form = Form(request.form)
    name = form.text("stretch_name", 80)
    first, last = form.day("stretch_first"), form.day("stretch_last")
    if first is None or last is None or form.problems:
        return _page(key, form)
    decisions = {
        field.removeprefix(CHOICE): value
        for field, value in form.values.items()
        if field.startswith(CHOICE)
    }
    try:
        words = change_stretch_dates(
            state.store,
            key,
            name,
            first,
            last,
            decisions,
            state.clock(),
            withdraws_by_hand=form.text("by_hand") == "yes",
            mails=form.text("mails") == "yes",
            seen=form.text("seen"),
        )
    except (ClashError, OutdatedError, RefusedError) as fault:
        form.problems.append(Problem("stretch_last", "refused", str(fault)))
        return _page(key, form)
    flash(words)
    return redirect(url_for("season.year"))


def _page(key: str, form: Form) -> str | BaseResponse:
    state = app_state()
    name = form.text("stretch_name", 80)
    first, last = form.day("stretch_first"), form.day("stretch_last")
    if first is None or last is None:
        return redirect(url_for("season.year"))
    words = render_template(
        "season/stretch.html",
        page=see_stretch_dates(state.store, key, name, first, last, state.clock()),
        values={"mails": "yes", **form.values},
        problems=form.problems,
    )
    return make_response(words, 422) if form.problems else words
