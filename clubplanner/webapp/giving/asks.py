"""Give and take, for the secretary: the waiting list by fair turn, and offers to change places."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import flash, make_response, redirect, render_template, request, url_for

from clubplanner.domain.problems import Problem
from clubplanner.errors import ClashError, HinderedError, MissingError, RefusedError
from clubplanner.language import _
from clubplanner.services.giving.ask_tables import ask_tables
from clubplanner.services.giving.swap_pages import list_swaps
from clubplanner.services.giving.swaps import accept_swap, end_swap
from clubplanner.services.giving.waiting_list import grant_ask, list_asks, refuse_ask, serve_waiting
from clubplanner.webapp.base.forms import Form
from clubplanner.webapp.base.security import for_secretary, for_squads, signed_in_person
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.base.taking_away import send_tables, wants_file
from clubplanner.webapp.season.season import pages

if TYPE_CHECKING:
    from collections.abc import Callable

    from werkzeug.wrappers import Response as BaseResponse


@pages.get("/asks")
@for_squads
def asks() -> str | BaseResponse:
    """Show who waits, in fair order, with the ground that is free for each."""
    if wants_file():
        state = app_state()
        swaps = list_swaps(state.store, signed_in_person(), state.clock())
        return send_tables(*ask_tables(list_asks(state.store, state.clock()), swaps))
    return _page(Form({}))


@pages.post("/asks/serve")
@for_secretary
def serve() -> str | BaseResponse:
    """Serve the waiting list by fair turn."""
    state = app_state()
    done = serve_waiting(state.store, state.clock())
    for words in done:
        flash(words)
    if not done:
        flash(_("Nobody who waits can be served now."), "caution")
    return redirect(url_for("season.asks"))


@pages.post("/asks/<int:number>/grant")
@for_squads
def grant(number: int) -> str | BaseResponse:
    """Grant an ask on the ground chosen."""
    state = app_state()
    value = request.form.get("place", "")
    return _done(lambda: grant_ask(state.store, number, value, state.clock()))


@pages.post("/asks/<int:number>/refuse")
@for_squads
def refuse(number: int) -> str | BaseResponse:
    """Refuse an ask, with a word for the coach."""
    answer = request.form.get("answer", "").strip()[:200]
    return _done(lambda: refuse_ask(app_state().store, number, answer))


@pages.post("/swaps/<int:number>/accept")
@for_squads
def accept_for_them(number: int) -> str | BaseResponse:
    """Let two squads change places without waiting for the other coach."""
    state = app_state()
    person = signed_in_person()
    return _done(lambda: accept_swap(state.store, person, number, state.clock()))


@pages.post("/swaps/<int:number>/end")
@for_squads
def stop_swap(number: int) -> str | BaseResponse:
    """Stop an offer."""
    person = signed_in_person()
    return _done(lambda: end_swap(app_state().store, person, number))


def _done(act: Callable[[], str]) -> str | BaseResponse:
    try:
        flash(act())
    except (ClashError, HinderedError, MissingError, RefusedError) as fault:
        return make_response(_page(Form({}, [Problem("list", "refused", str(fault))])), 422)
    return redirect(url_for("season.asks"))


def _page(form: Form) -> str:
    state = app_state()
    return render_template(
        "giving/asks.html",
        asks=list_asks(state.store, state.clock(), with_places=True),
        swaps=list_swaps(state.store, signed_in_person(), state.clock()),
        problems=form.problems,
    )
