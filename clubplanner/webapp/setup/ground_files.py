"""Grounds files at the desk: sent, looked at, asked about, loaded."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import flash, make_response, redirect, render_template, request, url_for

from clubplanner.domain.problems import Problem
from clubplanner.domain.terms import SURFACES
from clubplanner.errors import FaultyInputError
from clubplanner.inputs.club_files.club_file import ClubFile
from clubplanner.language import _, sentence, term
from clubplanner.services.setup.grounds.files import foresee_grounds, grounds_file, load_grounds
from clubplanner.services.setup.grounds.plain_grounds import (
    ask_about,
    ask_about_file,
    foresee_answers,
)
from clubplanner.services.showing.choosing.choices import Choice
from clubplanner.webapp.base.security import for_secretary
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.setup.grounds import grounds_page, pages

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from werkzeug.wrappers import Response as BaseResponse

    from clubplanner.services.setup.grounds.plain_grounds import PlainGrounds

LONGEST_CELL = 200


@pages.get("/grounds/<venue>/file.geojson")
@for_secretary
def file(venue: str) -> BaseResponse:
    """Send a venue's pitches as the file they could be loaded from."""
    response = make_response(grounds_file(app_state().store, venue))
    response.headers["Content-Type"] = "application/geo+json"
    response.headers["Content-Disposition"] = f'attachment; filename="{venue}.geojson"'
    return response


@pages.post("/grounds/file")
@for_secretary
def look_at_file() -> str | BaseResponse:
    """Show what a grounds file would change."""
    state = app_state()
    sent = request.files.get("file")
    data = ClubFile("", b"") if sent is None else ClubFile(sent.filename or "", sent.read())
    try:
        asked = ask_about_file(state.store, data)
        if asked is not None:
            return _questions(asked)
        foreseen = foresee_grounds(state.store, data, state.clock())
    except FaultyInputError as fault:
        return _file_refused(fault)
    return render_template("setup/grounds/file.html", foreseen=foreseen)


@pages.post("/grounds/load")
@for_secretary
def load_file() -> str | BaseResponse:
    """Load a grounds file that was looked at."""
    state = app_state()
    try:
        report = load_grounds(state.store, request.form.get("text", ""), state.clock())
    except FaultyInputError as fault:
        return _file_refused(fault)
    for line in report.lines:
        flash(_("Loaded: %(line)s.", line=line))
    return redirect(url_for("grounds.listing"))


@pages.post("/grounds/file/answers")
@for_secretary
def answer_file() -> str | BaseResponse:
    """Show what a map file would change with what was answered."""
    state = app_state()
    text = request.form.get("text", "")
    cells = {name: value[:LONGEST_CELL] for name, value in request.form.items() if name != "text"}
    try:
        asked = ask_about(state.store, text)
    except FaultyInputError as fault:
        return _file_refused(fault)
    try:
        foreseen = foresee_answers(state.store, text, cells, state.clock())
    except FaultyInputError as fault:
        return make_response(_questions(asked, cells, fault.problems), 422)
    return render_template("setup/grounds/file.html", foreseen=foreseen)


def _questions(
    asked: PlainGrounds,
    values: Mapping[str, str] | None = None,
    problems: Sequence[Problem] = (),
) -> str:
    """Show what is asked; at first every outline is wanted, called as in the file."""
    if values is None:
        values = {f"take_{one.number}": "yes" for one in asked.outlines}
        values |= {f"name_{one.number}": one.name for one in asked.outlines}
    return render_template(
        "setup/grounds/answers.html",
        asked=asked,
        values=values,
        problems=problems,
        surfaces=[Choice(word, sentence(term(word))) for word in SURFACES],
        cuts=_cut_choices(),
    )


def _cut_choices() -> tuple[Choice, ...]:
    """Return the equal cuts with the words of the pitch's form."""
    return (
        Choice("halves", _("Halves")),
        Choice("thirds", _("Thirds")),
        Choice("quarters", _("Quarters, in strips")),
        Choice("grid", _("Quarters, two by two")),
    )


def _file_refused(fault: FaultyInputError) -> BaseResponse:
    """Show the grounds with what is wrong with a file."""
    problems = [Problem("file", item.code, str(item)) for item in fault.problems]
    return make_response(grounds_page(problems), 422)
