"""Beside a proposal: what if one session is insisted on, and another proposal."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import flash, make_response, redirect, render_template, request, url_for

from clubplanner.errors import OutdatedError, RefusedError
from clubplanner.language import _
from clubplanner.services.share_out.by_hand.compared import compare_proposals
from clubplanner.services.share_out.by_hand.what_if import Wish, choices, take_what_if, what_if
from clubplanner.services.share_out.listed.names import name_share_outs
from clubplanner.services.share_out.listed.share_out_list import list_numbers
from clubplanner.services.showing.choosing.choices import Choice
from clubplanner.webapp.base.choosing import only_looks
from clubplanner.webapp.base.forms import Form, is_count
from clubplanner.webapp.base.leafing import leaf_through
from clubplanner.webapp.base.security import for_secretary
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.share_out.sharing import pages

if TYPE_CHECKING:
    from werkzeug.wrappers import Response as BaseResponse

    from clubplanner.services.share_out.by_hand.what_if_words import WhatIf

MOST_CHANGES = 100_000
"""Letters of the changes that a form sends along."""
OTHERS, SQUADS = 20, 40
"""Proposals that can be chosen to compare with, the newest first; squads of one leaf."""


@pages.get("/<int:number>/what-if")
@for_secretary
def wish(number: int) -> str:
    """Show the form that asks what it would cost to insist on a session."""
    return _wish_page(number, Form(request.args), None)


@pages.post("/<int:number>/what-if")
@for_secretary
def ask_what_if(number: int) -> str | BaseResponse:
    """Say who pays, or keep it as a new proposal; nothing is booked by either."""
    state, form = app_state(), Form(request.form)
    if only_looks():
        return _wish_page(number, form, None)
    wanted = _read(form)
    if wanted is None:
        return make_response(_wish_page(number, form, None), 422)
    now = state.clock()
    try:
        if "take" in request.form:
            taken = form.text("changes", MOST_CHANGES)
            fresh = take_what_if(state.store, number, wanted, taken, now)
            flash(_("Kept as a new proposal; look at what it changes, then publish it."))
            return redirect(url_for("share_outs.see", number=fresh))
        found = what_if(state.store, number, wanted, now)
    except OutdatedError as fault:
        page = _wish_page(number, form, what_if(state.store, number, wanted, now), str(fault))
        return make_response(page, 409)
    except RefusedError as fault:
        return make_response(_wish_page(number, form, None, str(fault)), 422)
    return _wish_page(number, form, found)


@pages.get("/<int:number>/compare")
@for_secretary
def compare(number: int) -> str:
    """Put a proposal beside another one."""
    state = app_state()
    numbers = [other for other in list_numbers(state.store) if other != number]
    chosen = request.args.get("other", "")
    other = int(chosen) if is_count(chosen) else [*numbers, number][0]
    found = compare_proposals(state.store, number, other, state.clock())
    return render_template(
        "share_out/compare.html",
        page=found,
        number=number,
        other=other,
        others=name_share_outs(state.store, numbers[:OTHERS]),
        squads=leaf_through(found.squads, SQUADS, "squad"),
    )


def _read(form: Form) -> Wish | None:
    """Read the session that is insisted on; None where something is missing, which is noted."""
    ask, day, ground = (form.text(name) for name in ("ask", "day", "ground"))
    start = form.minute("start")
    for name, value, words in (
        ("ask", ask, _("Choose the squad.")),
        ("day", day if is_count(day) else "", _("Choose the day.")),
        ("ground", ground, _("Choose the ground.")),
    ):
        if not value:
            form.fault(name, words)
    if form.problems or start is None:
        return None
    return Wish(ask, int(day), start, ground)


def _wish_page(number: int, form: Form, found: WhatIf | None, fault: str = "") -> str:
    state = app_state()
    known = choices(state.store, number, state.clock())
    return render_template(
        "share_out/what_if.html",
        number=number,
        asks=[Choice(key, words) for key, words in known.asks],
        days=[Choice(str(day), words) for day, words in known.days],
        grounds=[Choice(key, words) for key, words in known.grounds],
        values=form.values,
        problems=form.problems,
        found=found,
        fault=fault,
    )
