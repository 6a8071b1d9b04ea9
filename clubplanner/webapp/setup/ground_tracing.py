"""A new pitch from a picture, at the desk."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import flash, make_response, render_template, request

from clubplanner.errors import FaultyInputError
from clubplanner.inputs.ground_files.pitch_sheet import MOST_CORNERS
from clubplanner.services.setup.grounds.kinds import venue_name
from clubplanner.services.setup.grounds.tracing import look_at_tracing
from clubplanner.webapp.base.security import for_secretary
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.setup.grounds import pages, pitch_page

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from werkzeug.wrappers import Response as BaseResponse

    from clubplanner.domain.problems import Problem
    from clubplanner.services.setup.grounds.tracing import Traced

LONGEST_NUMBER = 40


@pages.get("/grounds/<venue>/from-picture")
@for_secretary
def from_picture(venue: str) -> str:
    """Show the page on which an outline is traced."""
    return _page(venue, {})


@pages.post("/grounds/<venue>/from-picture")
@for_secretary
def trace_picture(venue: str) -> str | BaseResponse:
    """Draw a traced outline, or go on with it to the form of a new pitch."""
    cells = {name: value[:LONGEST_NUMBER] for name, value in request.form.items()}
    try:
        traced = look_at_tracing(app_state().store, venue, cells)
    except FaultyInputError as fault:
        return make_response(_page(venue, cells, fault.problems), 422)
    if cells.get("act") == "look":
        return _page(venue, cells, (), traced)
    flash(traced.bearing_words)
    return pitch_page(venue, cells=traced.cells, seen="", drawn=(traced.drawing, ()))


def _page(
    venue: str,
    values: Mapping[str, str],
    problems: Sequence[Problem] = (),
    traced: Traced | None = None,
) -> str:
    return render_template(
        "setup/grounds/from_picture.html",
        venue=venue,
        venue_name=venue_name(app_state().store, venue),
        corners=range(1, MOST_CORNERS + 1),
        values=values,
        problems=problems,
        drawing="" if traced is None else traced.drawing,
        measured=None if traced is None else traced.measured,
    )
