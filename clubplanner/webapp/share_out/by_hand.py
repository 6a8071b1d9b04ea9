"""Share-outs by hand: what else a squad could have, putting it there, pinning and running again."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import flash, make_response, redirect, render_template, request, url_for

from clubplanner.errors import OutdatedError, RefusedError
from clubplanner.language import _
from clubplanner.services.proposals.kept_reasons import told_together
from clubplanner.services.proposals.proposal_page import pinned_sessions
from clubplanner.services.proposals.proposals import Sort
from clubplanner.services.share_out.by_hand.by_hand import other_places, put_by_hand, why_without
from clubplanner.services.share_out.by_hand.starting_from import Spot
from clubplanner.services.share_out.runs.requests import RunRequest, Work, disruption_of
from clubplanner.services.share_out.tonight.shared_out import Tonight
from clubplanner.webapp.base.forms import is_count
from clubplanner.webapp.base.security import for_secretary
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.share_out.share_outs import read_effort, start
from clubplanner.webapp.share_out.sharing import pages
from clubplanner.webapp.share_out.tonight import propose

if TYPE_CHECKING:
    from werkzeug.wrappers import Response as BaseResponse


@pages.get("/<int:number>/else")
@for_secretary
def other(number: int) -> str | BaseResponse:
    """Show what else a squad could have for a session of a proposal."""
    return _page(_spot(number), "")


@pages.get("/<int:number>/why")
@for_secretary
def why(number: int) -> str | BaseResponse:
    """Say why one ask of a proposal goes without, however long that takes."""
    state, ask = app_state(), request.args.get("ask", "")
    if not ask:
        return redirect(url_for("share_outs.see", number=number))
    refusal = why_without(state.store, number, ask, state.clock())
    (group,) = told_together([refusal])
    return render_template("share_out/why.html", number=number, refusal=refusal, group=group)


@pages.post("/<int:number>/else")
@for_secretary
def put(number: int) -> str | BaseResponse:
    """Put a session of a proposal elsewhere; a new proposal comes of it."""
    return _put(_spot(number))


@pages.get("/bookings/<int:number>")
@for_secretary
def other_for_booking(number: int) -> str | BaseResponse:
    """Show what else a squad could have on the evening of a booking."""
    return _page(Spot(booking=number), "")


@pages.post("/bookings/<int:number>")
@for_secretary
def put_booking(number: int) -> str | BaseResponse:
    """Put a booked session elsewhere on its evening; a proposal comes of it."""
    return _put(Spot(booking=number))


@pages.post("/<int:number>/pinned")
@for_secretary
def run_pinned(number: int) -> str | BaseResponse:
    """Run a share-out again around the sessions that are ticked."""
    places = {int(text) for text in request.form.getlist("pin") if is_count(text)}
    proposal, pins = pinned_sessions(app_state().store, number, places)
    if proposal.sort is Sort.EVENING:
        wish = Tonight(proposal.first, disruption_of(proposal), pins)
        return propose(wish, is_longer="longer" in request.form)
    stretch = proposal.stretch.key
    return start(RunRequest(Work.STRETCH, read_effort(), stretch=stretch, pins=pins))


def _spot(number: int) -> Spot:
    """Read which session is meant.

    Raises:
        RefusedError: If none is.
    """
    place, ask = request.values.get("place", ""), request.values.get("ask", "")
    if place.isdecimal() and len(place) <= 6:
        return Spot(proposal=number, place=int(place))
    if not ask:
        raise RefusedError(_("Choose a session on the page of its proposal."))
    return Spot(proposal=number, ask=ask)


def _put(spot: Spot) -> BaseResponse:
    state = app_state()
    try:
        fresh = put_by_hand(state.store, spot, request.form.get("choice", ""), state.clock())
    except OutdatedError as fault:
        return make_response(_page(spot, str(fault)), 409)
    flash(_("Kept as a new proposal; look at what it changes, then publish it."))
    return redirect(url_for("share_outs.see", number=fresh))


def _page(spot: Spot, fault: str) -> str:
    state = app_state()
    return render_template(
        "share_out/else.html",
        spot=spot,
        places=other_places(state.store, spot, state.clock()),
        fault=fault,
    )
