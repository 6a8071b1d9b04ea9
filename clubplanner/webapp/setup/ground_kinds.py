"""Several pitches at once by their kinds, at the desk."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import flash, make_response, redirect, render_template, request, url_for

from clubplanner.errors import FaultyInputError
from clubplanner.language import _
from clubplanner.services.setup.grounds.kinds import PitchWish, add_by_kind, list_kinds, venue_name
from clubplanner.webapp.base.security import for_secretary
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.setup.grounds import pages

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from werkzeug.wrappers import Response as BaseResponse

    from clubplanner.domain.problems import Problem

ROWS = range(1, 7)
LONGEST_NAME = 200


@pages.get("/grounds/<venue>/by-kind")
@for_secretary
def by_kind(venue: str) -> str:
    """Show the form of several new pitches."""
    return _page(venue, {}, ())


@pages.post("/grounds/<venue>/by-kind")
@for_secretary
def add_kinds(venue: str) -> str | BaseResponse:
    """Add the pitches that were chosen, all of them or none."""
    state = app_state()
    form = request.form
    wishes = [
        PitchWish(
            n,
            form.get(f"kind_{n}", ""),
            form.get(f"name_{n}", "").strip()[:LONGEST_NAME],
            bool(form.get(f"lit_{n}")),
        )
        for n in ROWS
    ]
    try:
        names = add_by_kind(state.store, venue, wishes, state.clock())
    except FaultyInputError as fault:
        return make_response(_page(venue, form.to_dict(), fault.problems), 422)
    flash(_("%(name)s saved.", name=", ".join(names)))
    return redirect(url_for("grounds.listing"))


def _page(venue: str, values: Mapping[str, str], problems: Sequence[Problem]) -> str:
    return render_template(
        "setup/grounds/by_kind.html",
        venue=venue,
        venue_name=venue_name(app_state().store, venue),
        kinds=list_kinds(),
        rows=ROWS,
        values=values,
        problems=problems,
    )
