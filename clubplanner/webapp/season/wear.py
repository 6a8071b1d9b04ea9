"""Grass: how much each pitch is used, week by week, against what it bears."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from flask import flash, make_response, redirect, render_template, request, url_for

from clubplanner.domain.problems import Problem
from clubplanner.errors import MissingError, RefusedError
from clubplanner.language import _, figure, ngettext, term
from clubplanner.services.rows.club.club import club_zone
from clubplanner.services.season.grass.table import wear_table
from clubplanner.services.season.grass.wear import (
    grass_choices,
    guidance,
    limit_in_words,
    see_wear,
    set_limit_by_guidance,
    set_wear_limit,
)
from clubplanner.services.showing.choosing.choices import Choice
from clubplanner.webapp.base.forms import Form
from clubplanner.webapp.base.leafing import leaf_through
from clubplanner.webapp.base.security import for_grounds, for_secretary
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.base.taking_away import send_tables, wants_file
from clubplanner.webapp.season.season import pages

if TYPE_CHECKING:
    from werkzeug.wrappers import Response as BaseResponse

MOST_PITCHES = 15
"""On one leaf."""
WEEKS_BACK, WEEKS = 4, 16
"""The page begins this many weeks ago, and shows so many."""


@pages.get("/grass")
@for_grounds
def wear() -> str | BaseResponse:
    """Show the use of every grass pitch, past and coming weeks."""
    if wants_file():
        state = app_state()
        today = state.today(club_zone(state.store))
        first = today - timedelta(weeks=WEEKS_BACK)
        return send_tables(wear_table(see_wear(state.store, first, WEEKS, today)))
    return _page(Form({}))


@pages.post("/grass")
@for_secretary
def set_limit() -> str | BaseResponse:
    """Set what a pitch may bear: by own figures, or from the published tables."""
    state = app_state()
    form = Form(request.form)
    pitch = form.text("pitch", 80)
    construction, quality = form.text("construction", 80), form.text("quality", 80)
    hours, matches = _figure(form, "hours"), _figure(form, "match_limit")
    if not form.problems:
        try:
            if hours is None and matches is None and (construction or quality):
                flash(set_limit_by_guidance(state.store, pitch, construction, quality))
            else:
                source = form.text("source", 200)
                flash(set_wear_limit(state.store, pitch, hours, matches, source))
            return redirect(url_for("season.wear"))
        except (MissingError, RefusedError) as fault:
            form.problems.append(Problem("pitch", "refused", str(fault)))
    return make_response(_page(form), 422)


def _figure(form: Form, name: str) -> float | None:
    text = form.text(name).replace(",", ".")
    if not text:
        return None
    try:
        return float(text) if len(text) < 8 else float("nan")
    except ValueError:
        form.fault(name, _("Enter a figure like 3 or 2.5, or leave it blank."))
        return None


def _page(form: Form) -> str:
    state = app_state()
    today = state.today(club_zone(state.store))
    choices = grass_choices(state.store)
    leaf = leaf_through(choices, MOST_PITCHES)
    first = today - timedelta(weeks=WEEKS_BACK)
    pitches = see_wear(state.store, first, WEEKS, today, [one.value for one in leaf.items])
    rows = guidance()
    return render_template(
        "season/grass.html",
        pitches=pitches,
        leaf=leaf,
        today=today,
        limit_in_words=limit_in_words,
        choices=choices,
        constructions=tuple(
            Choice(r.construction, f"{term(r.construction)}: {figure(r.hours, 'g')} h")
            for r in rows
            if r.hours
        ),
        qualities=tuple(
            Choice(
                r.quality,
                ngettext(
                    "%(quality)s: %(matches)s match",
                    "%(quality)s: %(matches)s matches",
                    1 if r.matches == 1 else 2,  # it need not be whole
                    quality=term(r.quality),
                    matches=figure(r.matches, "g"),
                ),
            )
            for r in rows
            if r.matches
        ),
        sources=tuple(dict.fromkeys(r.words for r in rows)),
        values=form.values,
        problems=form.problems,
    )
