"""Fair turns: the form, and starting to plan them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import make_response, render_template, request

from clubplanner.language import _
from clubplanner.services.rows.club.club import club_zone
from clubplanner.services.rows.seasons.stretches import list_stretches
from clubplanner.services.share_out.runs.requests import RunRequest, Work
from clubplanner.services.showing.choosing.choices import list_squads
from clubplanner.webapp.base.choosing import only_looks
from clubplanner.webapp.base.forms import Form
from clubplanner.webapp.base.security import for_secretary
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.share_out.share_outs import read_effort, start
from clubplanner.webapp.share_out.sharing import pages

if TYPE_CHECKING:
    from werkzeug.wrappers import Response as BaseResponse


@pages.get("/turns")
@for_secretary
def turns() -> str | BaseResponse:
    """Show the form that plans turns."""
    return _page(Form({}))


@pages.post("/turns")
@for_secretary
def run_turns() -> str | BaseResponse:
    """Start planning turns over a stretch."""
    state = app_state()
    form = Form(request.form)
    if only_looks():
        return _page(form)
    stretch = form.text("stretch")
    if stretch not in {known.key for known in list_stretches(state.store)}:
        form.fault("stretch", _("Choose a stretch of the season."))
    still = frozenset(request.form.getlist("still"))
    if still - {squad.value for squad in list_squads(state.store)}:
        form.fault("still", _("One of these squads is no longer there; choose again."))
    if form.problems:
        return make_response(_page(form), 422)
    return start(
        RunRequest(
            Work.TURNS,
            read_effort(),
            stretch=stretch,
            still=still,
            same_start="same_start" in request.form,
        )
    )


def _page(form: Form) -> str:
    state = app_state()
    stretches = list_stretches(state.store)
    today = state.today(club_zone(state.store))
    current = next((s.key for s in stretches if s.ends_on >= today), "")
    return render_template(
        "share_out/turns.html",
        stretches=stretches,
        squads=list_squads(state.store),
        still=request.form.getlist("still"),
        values={"stretch": current, **form.values},
        problems=form.problems,
    )
