"""Seen ahead: the problem list of the coming weeks."""

from __future__ import annotations

from collections import Counter
from itertools import groupby
from typing import TYPE_CHECKING

from flask import render_template, request, url_for

from clubplanner.services.season.ahead import USUAL_WEEKS, list_concerns, venues_ahead
from clubplanner.services.season.season_tables import concerns_table
from clubplanner.webapp.base.leafing import leaf_through
from clubplanner.webapp.base.security import current_person, for_squads, may_open
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.base.taking_away import send_tables, wants_file
from clubplanner.webapp.season.season import pages

if TYPE_CHECKING:
    from werkzeug.wrappers import Response as BaseResponse

CHOICES = (2, 4, 8, 26)
MOST_LINES = 200
"""On one leaf."""


@pages.get("/ahead")
@for_squads
def ahead() -> str | BaseResponse:
    """List what needs a hand in the coming weeks."""
    state = app_state()
    text = request.args.get("weeks", "")
    weeks = int(text) if text in map(str, CHOICES) else USUAL_WEEKS
    venues = venues_ahead(state.store)
    keys = [one.value for one in venues]
    asked = request.args.get("venue", "")
    venue = asked if asked in keys else next(iter(keys), "")
    concerns = list_concerns(state.store, weeks, state.clock(), venue)
    if wants_file():
        called = {one.value: one.words for one in venues}
        return send_tables(concerns_table(concerns, weeks, called.get(venue, "")))
    leaf = leaf_through(concerns, MOST_LINES)
    counts = Counter(concern.kind for concern in concerns)
    groups = [
        (kind.value, counts[kind], [(concern, _address(concern.target)) for concern in of_kind])
        for kind, of_kind in groupby(leaf.items, key=lambda c: c.kind)
    ]
    return render_template(
        "season/ahead.html",
        groups=groups,
        leaf=leaf,
        weeks=weeks,
        choices=CHOICES,
        venues=venues,
        venue=venue,
    )


def _address(target: str) -> str:
    """Turn a target of the problem list into an address."""
    endpoint, *parts = target.split(" ")
    if endpoint == "desk.evening":
        return url_for(endpoint, date=parts[0], venue=parts[1])
    if endpoint in ("season.match", "desk.booking"):
        return url_for(endpoint, number=int(parts[0]))
    if not may_open(current_person(), endpoint):
        return ""
    return url_for(endpoint)
