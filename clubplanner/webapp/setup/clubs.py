"""The clubs within the record, for the office."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import flash, make_response, redirect, render_template, request, url_for

from clubplanner.errors import FaultyInputError
from clubplanner.language import _
from clubplanner.services.setup.clubs.club_squads import LONGEST_CLUB
from clubplanner.services.setup.clubs.page import (
    let_club_end,
    name_club,
    name_club_anew,
    see_clubs,
)
from clubplanner.services.setup.clubs.table import clubs_table
from clubplanner.webapp.base.forms import Form
from clubplanner.webapp.base.security import for_secretary
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.base.taking_away import send_tables, wants_file
from clubplanner.webapp.setup.squads import pages

if TYPE_CHECKING:
    from collections.abc import Callable

    from werkzeug.wrappers import Response as BaseResponse


@pages.get("/clubs")
@for_secretary
def clubs() -> str | BaseResponse:
    """List the clubs within the record, with the forms that add, rename and end one."""
    if wants_file():
        return send_tables(clubs_table(see_clubs(app_state().store)))
    return _page(Form({}))


@pages.post("/clubs")
@for_secretary
def add_club() -> str | BaseResponse:
    """Add a club."""
    form = Form(request.form)
    name = _name(form)
    return _done(
        form,
        lambda: name_club(app_state().store, name),
        _("%(club)s is added; now say whose squads are.", club=name),
    )


@pages.post("/clubs/<int:number>")
@for_secretary
def rename_club(number: int) -> str | BaseResponse:
    """Let a club be called otherwise."""
    form = Form(request.form)
    name, state = _name(form), app_state()
    return _done(
        form,
        lambda: name_club_anew(state.store, number, name, state.clock()),
        _("%(club)s and its squads are called so now.", club=name),
    )


@pages.post("/clubs/<int:number>/end")
@for_secretary
def end_club(number: int) -> str | BaseResponse:
    """Let a club take part no longer."""
    form, state = Form(request.form), app_state()
    return _done(
        form,
        lambda: let_club_end(state.store, number, state.clock()),
        _("It takes part no longer; what was stays in the records."),
    )


def _name(form: Form) -> str:
    return " ".join(form.text("club", 4 * LONGEST_CLUB).split())


def _done(form: Form, act: Callable[[], object], words: str) -> str | BaseResponse:
    try:
        if not form.problems:
            act()
    except FaultyInputError as fault:
        form.problems.extend(fault.problems)
    if form.problems:
        return make_response(_page(form), 422)
    flash(words)
    return redirect(url_for("squads.clubs"))


def _page(form: Form) -> str:
    return render_template(
        "setup/squads/clubs.html",
        lines=see_clubs(app_state().store),
        values=form.values,
        problems=form.problems,
    )
