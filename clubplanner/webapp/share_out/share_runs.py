"""A running share-out: how far it is, stopping it, repeating it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import flash, redirect, render_template, url_for

from clubplanner.language import _
from clubplanner.services.share_out.runs.kept import see_run, stop_run
from clubplanner.webapp.base.security import for_secretary
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.share_out.sharing import pages

if TYPE_CHECKING:
    from werkzeug.wrappers import Response as BaseResponse


@pages.get("/runs/<int:number>")
@for_secretary
def see_run_page(number: int) -> str | BaseResponse:
    """Show how far a run is; the page renews itself while it lasts."""
    state = app_state()
    return render_template(
        "share_out/run.html", run=see_run(state.store, number, state.runner.wall())
    )


@pages.post("/runs/<int:number>/stop")
@for_secretary
def stop(number: int) -> str | BaseResponse:
    """Ask a run to stop; its best plan is kept."""
    stop_run(app_state().store, number)
    return redirect(url_for("share_outs.see_run_page", number=number))


@pages.post("/runs/<int:number>/repeat")
@for_secretary
def repeat(number: int) -> str | BaseResponse:
    """Start a run once more with the same input, seed and effort."""
    state = app_state()
    fresh = state.runner.repeat(state.store, number, state.clock())
    flash(_("Started once more; with the same records it gives the same plan."))
    return redirect(url_for("share_outs.see_run_page", number=fresh))
