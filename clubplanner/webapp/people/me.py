"""One's own page: the browsers one is signed in with, and the secretary's password."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, flash, make_response, redirect, render_template, request, url_for

from clubplanner.errors import FaultyInputError, TooManyError
from clubplanner.language import _, ngettext
from clubplanner.services.people.ways_in.browsers import end_browser, end_browsers, list_browsers
from clubplanner.services.people.ways_in.passwords import change_password
from clubplanner.webapp.base.forms import Form
from clubplanner.webapp.base.security import (
    browser_secret,
    for_secretary,
    for_signed_in,
    signed_in_person,
)
from clubplanner.webapp.base.state import app_state

if TYPE_CHECKING:
    from werkzeug.wrappers import Response as BaseResponse

pages = Blueprint("me", __name__, url_prefix="/me")


@pages.get("")
@for_signed_in
def see() -> str:
    """Show one's own page."""
    return _page(Form({}))


@pages.post("/browsers/<int:number>/end")
@for_signed_in
def end_one(number: int) -> BaseResponse:
    """Sign one of one's browsers out."""
    end_browser(app_state().store, signed_in_person().number, number)
    flash(_("Signed out there."))
    return redirect(url_for("me.see"))


@pages.post("/browsers/end-others")
@for_signed_in
def end_others() -> BaseResponse:
    """Sign every other browser of one's own out."""
    count = end_browsers(app_state().store, signed_in_person().number, browser_secret())
    flash(
        ngettext("%(num)s other browser signed out.", "%(num)s other browsers signed out.", count)
    )
    return redirect(url_for("me.see"))


@pages.post("/password")
@for_secretary
def password() -> str | BaseResponse:
    """Change one's own password; the other browsers are signed out."""
    state = app_state()
    form = Form(request.form)
    number = signed_in_person().number
    try:
        old, new = form.values.get("old", ""), form.values.get("new", "")
        change_password(state.store, number, old, new, state.clock())
    except TooManyError as fault:
        form.fault("old", str(fault))
        response = make_response(_page(form), 429)
        response.headers["Retry-After"] = str(fault.seconds)
        return response
    except FaultyInputError as fault:
        form.problems.extend(fault.problems)
        return make_response(_page(form), 422)
    end_browsers(state.store, number, browser_secret())
    flash(_("Password changed; your other browsers are signed out."))
    return redirect(url_for("me.see"))


def _page(form: Form) -> str:
    state = app_state()
    browsers = list_browsers(
        state.store, signed_in_person().number, state.clock(), browser_secret()
    )
    return render_template("people/me.html", browsers=browsers, values={}, problems=form.problems)
