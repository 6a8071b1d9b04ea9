"""The first hour: one page that says what is done and leads to what comes next."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import g, render_template, url_for

from clubplanner.services.rows.club.club import club_zone
from clubplanner.services.setup.first_steps import FirstSteps, is_on_its_way, see_first_steps
from clubplanner.services.share_out.anew.beforehand import look_before_next
from clubplanner.services.showing.not_said import list_not_said
from clubplanner.webapp.base.security import for_secretary, signed_in
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.evening.desk import pages

if TYPE_CHECKING:
    from flask import Flask


def register(app: Flask) -> None:
    """Let every page of the desk lead back while something is missing."""
    app.add_template_global(steps_left, "first_steps_left")


@pages.get("/first-steps")
@for_secretary
def first_steps() -> str:
    """Show every step with what is done of it."""
    state = app_state()
    way = see_first_steps(state.store)
    is_ahead = way.next_step is not None and way.next_step.key == "share-out"
    return render_template(
        "setup/first_steps.html",
        way=way,
        places=_places(way),
        not_said=list_not_said(state.store),
        beforehand=look_before_next(state.store, state.today(club_zone(state.store)))
        if is_ahead
        else None,
    )


def steps_left() -> FirstSteps | None:
    """Return the way while it is not over, for the secretary; looked up once a request."""
    if not signed_in():
        return None
    if "first_steps" not in g:
        store = app_state().store
        g.first_steps = None if is_on_its_way(store) else see_first_steps(store)
    found = g.first_steps
    return found if isinstance(found, FirstSteps) else None


def _places(way: FirstSteps) -> dict[str, str]:
    """Return where each step is done."""
    done = {step.key for step in way.steps if step.done}
    pitch = url_for("grounds.new_venue")
    if way.venue_key:
        pitch = url_for("grounds.by_kind", venue=way.venue_key)
    if "pitch" in done:
        pitch = url_for("grounds.listing")
    listing = url_for("share_outs.listing")
    return {
        "club": url_for("grounds.club"),
        "venue": url_for("grounds.listing") if way.venue_key else url_for("grounds.new_venue"),
        "pitch": pitch,
        "squad": url_for("squads.listing") if "squad" in done else url_for("squads.new_squad"),
        "stretch": url_for("season.year"),
        "share-out": url_for("share_outs.see", number=way.proposal) if way.proposal else listing,
        "address": url_for("calendars.listing" if "address" in done else "calendars.hand_out"),
        "people": url_for("people.listing"),
    }
