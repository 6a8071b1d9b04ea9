"""One's own programs: the tokens by which they come in, handed out and withdrawn."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, flash, make_response, redirect, render_template, request, url_for

from clubplanner.errors import FaultyInputError, RefusedError
from clubplanner.language import _, marked, term
from clubplanner.services.people.ways_in.tokens import (
    LONGEST_DAYS,
    LONGEST_PURPOSE,
    TokenWish,
    hand_out_token,
    list_tokens,
    withdraw_token,
)
from clubplanner.services.showing.choosing.choices import Choice
from clubplanner.webapp.base.forms import Form
from clubplanner.webapp.base.programs import ROOT
from clubplanner.webapp.base.security import for_signed_in, for_squads, signed_in_person
from clubplanner.webapp.base.state import app_state

if TYPE_CHECKING:
    from werkzeug.wrappers import Response as BaseResponse

pages = Blueprint("programs", __name__)

READ, CHANGE = "read", "change"
SCOPES = ((READ, marked("Read")), (CHANGE, marked("Read and change")))
DAYS = ((30, marked("30 days")), (90, marked("90 days")), (LONGEST_DAYS, marked("a year")))


@pages.get("/me/programs")
@for_signed_in
def own() -> str:
    """Show one's own tokens, and the form that makes one."""
    return _page(Form({}))


@pages.post("/me/programs")
@for_signed_in
def hand_out() -> str | BaseResponse:
    """Make a token; it is shown once, for only its hash is kept."""
    state = app_state()
    form = Form(request.form)
    wish = _read_wish(form)
    if wish is not None:
        try:
            person = signed_in_person().number
            _number, token = hand_out_token(state.store, person, wish, state.clock())
        except FaultyInputError as fault:
            form.problems.extend(fault.problems)
        except RefusedError as fault:
            form.fault("purpose", str(fault))
        else:
            return render_template(
                "people/token.html", token=token, wish=wish, address=_api_address()
            )
    return make_response(_page(form), 422)


@pages.post("/me/programs/<int:number>/withdraw")
@for_signed_in
def withdraw_own(number: int) -> BaseResponse:
    """Make a token of one's own useless."""
    state = app_state()
    purpose = withdraw_token(state.store, number, state.clock(), signed_in_person().number)
    flash(_("Withdrawn: the token for %(purpose)s.", purpose=purpose))
    return redirect(url_for("programs.own"))


@pages.post("/desk/people/<int:number>/tokens/<int:token>/withdraw")
@for_squads
def withdraw_of(number: int, token: int) -> BaseResponse:
    """Make a token of somebody useless."""
    state = app_state()
    purpose = withdraw_token(state.store, token, state.clock(), number)
    flash(_("Withdrawn: the token for %(purpose)s.", purpose=purpose))
    return redirect(url_for("people.see", number=number))


def _page(form: Form) -> str:
    state = app_state()
    return render_template(
        "people/programs.html",
        tokens=list_tokens(state.store, state.clock(), signed_in_person().number),
        scopes=tuple(Choice(value, term(words)) for value, words in SCOPES),
        periods=tuple(Choice(str(days), term(words)) for days, words in DAYS),
        values={"scope": READ, "days": str(LONGEST_DAYS), **form.values},
        problems=form.problems,
        address=_api_address(),
    )


def _read_wish(form: Form) -> TokenWish | None:
    purpose = form.text("purpose", LONGEST_PURPOSE)
    scope = form.text("scope")
    if scope not in dict(SCOPES):
        form.fault("scope", _("Choose what the program may do."))
    days = form.number("days", _("Choose for how long it opens."))
    if form.problems or days is None:
        return None
    return TokenWish(purpose, scope == CHANGE, days)


def _api_address() -> str:
    return f"{app_state().config.public_address}{ROOT}/1"
