"""A coach passes one session on, and tells tonight's head count from what fits."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import flash, make_response, redirect, render_template, request, url_for

from clubplanner.errors import RefusedError
from clubplanner.language import _
from clubplanner.outputs.drawings.qr import draw_qr
from clubplanner.services.giving.head_counts import say_head_count
from clubplanner.services.giving.passing_on import pass_on, see_passing_on, take_back
from clubplanner.webapp.base.forms import Form
from clubplanner.webapp.base.security import for_coach, signed_in_person
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.coach.coach import pages
from clubplanner.webapp.coach.fits import read_head_count

if TYPE_CHECKING:
    from werkzeug.wrappers import Response as BaseResponse


@pages.post("/squads/<key>/count/<int:number>")
@for_coach
def count(key: str, number: int) -> BaseResponse:
    """Say tonight's head count with the numbers typed in what fits."""
    state = app_state()
    form = Form(request.form)
    said = read_head_count(form)
    if said is None:
        flash(form.problems[0].message, "caution")
    else:
        try:
            flash(say_head_count(state.store, signed_in_person(), number, *said, state.clock()))
        except RefusedError as fault:
            flash(str(fault), "caution")
    day = form.text("date", 10) or None
    return redirect(url_for("coach.fits", key=key, date=day, session=number))


@pages.get("/sessions/<int:number>/pass-on")
@for_coach
def passing_on(number: int) -> str:
    """Show the form that passes a session on, and to whom it was."""
    return _page(number, Form({}))


@pages.post("/sessions/<int:number>/pass-on")
@for_coach
def pass_session_on(number: int) -> str | BaseResponse:
    """Make an address of the session; it is shown once, for only its hash is kept."""
    state = app_state()
    form = Form(request.form)
    try:
        secret = pass_on(
            state.store,
            signed_in_person(),
            number,
            form.text("holder"),
            state.clock(),
            may_count=form.text("may_count") == "yes",
        )
    except RefusedError as fault:
        form.fault("holder", str(fault))
        return make_response(_page(number, form), 422)
    address = f"{state.config.public_address}/session/{secret}"
    return render_template(
        "coach/passed_on.html",
        page=see_passing_on(state.store, signed_in_person(), number, state.clock()),
        address=address,
        code=draw_qr(address, _("The address of this session")),
    )


@pages.post("/sessions/<int:number>/pass-on/<int:link>/take-back")
@for_coach
def take_pass_back(number: int, link: int) -> BaseResponse:
    """Make an address of the session useless."""
    state = app_state()
    holder = take_back(state.store, signed_in_person(), number, link, state.clock())
    flash(_("Withdrawn: the address of %(holder)s opens nothing any more.", holder=holder))
    return redirect(url_for("coach.passing_on", number=number))


def _page(number: int, form: Form) -> str:
    state = app_state()
    return render_template(
        "coach/pass_on.html",
        page=see_passing_on(state.store, signed_in_person(), number, state.clock()),
        values=form.values,
        problems=form.problems,
    )
