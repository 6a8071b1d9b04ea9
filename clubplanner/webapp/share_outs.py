"""Share-outs at the desk: run one, look at its proposal, publish it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, flash, redirect, render_template, request, url_for

from clubplanner.errors import MissingError
from clubplanner.services.club import club_zone
from clubplanner.services.proposal_page import see_share_out
from clubplanner.services.publishing import publish_share_out
from clubplanner.services.share_outs import list_share_outs, list_stretches
from clubplanner.sharing.problem import Effort
from clubplanner.webapp.security import for_secretary
from clubplanner.webapp.state import app_state

if TYPE_CHECKING:
    from werkzeug.wrappers import Response as BaseResponse

pages = Blueprint("share_outs", __name__, url_prefix="/desk/share-outs")

EFFORTS = {"30": 30.0, "120": 120.0, "600": 600.0}
"""Seconds a person may allow, by the form's value."""


@pages.get("")
@for_secretary
def listing() -> str | BaseResponse:
    """List the proposals, the run in progress, and the form that starts one."""
    state = app_state()
    stretches = list_stretches(state.store)
    zone = club_zone(state.store)
    today = state.today(zone)
    return render_template(
        "share_outs/list.html",
        lines=list_share_outs(state.store),
        stretches=stretches,
        current=next((s.key for s in stretches if s.ends_on >= today), None),
        run=state.runner.run,
        zone=zone,
    )


@pages.post("")
@for_secretary
def run() -> str | BaseResponse:
    """Start a share-out; its progress is shown by the list."""
    state = app_state()
    key = request.form.get("stretch", "")
    stretch = next((s for s in list_stretches(state.store) if s.key == key), None)
    if stretch is None:
        raise MissingError("Choose a stretch of the season; load the settings if there is none.")
    seconds = EFFORTS.get(request.form.get("seconds", ""), EFFORTS["30"])
    state.runner.start(state.store, state.clock, stretch, Effort(seconds=seconds))
    return redirect(url_for("share_outs.listing"))


@pages.get("/<int:number>")
@for_secretary
def see(number: int) -> str | BaseResponse:
    """Show a proposal."""
    state = app_state()
    page = see_share_out(state.store, number, state.clock())
    return render_template("share_outs/see.html", page=page, zone=club_zone(state.store))


@pages.post("/<int:number>/publish")
@for_secretary
def publish(number: int) -> str | BaseResponse:
    """Publish a proposal."""
    state = app_state()
    seen = request.form.get("seen") or None
    published = publish_share_out(state.store, number, state.clock(), seen)
    flash(f"Published: {published.sentence}")
    return redirect(url_for("share_outs.see", number=number))
