"""Matches: the list, a file or a form to add them, and giving one its ground."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from flask import flash, make_response, redirect, render_template, request, url_for

from clubplanner.domain.problems import Problem
from clubplanner.domain.times.times import clock_from_minute
from clubplanner.errors import (
    ClashError,
    FaultyInputError,
    HinderedError,
    MissingError,
    OutdatedError,
    RefusedError,
)
from clubplanner.inputs.club_files.club_file import ClubFile
from clubplanner.inputs.club_files.fixtures import FixtureLine
from clubplanner.language import _
from clubplanner.services.evening.evening import booking_choices
from clubplanner.services.evening.matches.booking import (
    list_matches,
    place_free_matches,
    place_match,
    see_match,
)
from clubplanner.services.evening.matches.changes import (
    bring_back_for,
    call_off,
    change_match,
    matches_to_finish,
    see_made_way,
)
from clubplanner.services.evening.matches.fixture_rows import (
    add_fixture,
    list_match_formats,
    load_fixtures,
)
from clubplanner.services.pasting.taken_away import matches_table
from clubplanner.services.showing.choosing.choices import Choice
from clubplanner.webapp.base.choosing import only_looks
from clubplanner.webapp.base.forms import Form
from clubplanner.webapp.base.security import for_squads
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.base.taking_away import send_tables, wants_file
from clubplanner.webapp.evening.closures import read_decisions
from clubplanner.webapp.evening.coming_back import read_back, ticked
from clubplanner.webapp.season.season import pages

if TYPE_CHECKING:
    from werkzeug.wrappers import Response as BaseResponse


@pages.get("/matches")
@for_squads
def matches() -> str | BaseResponse:
    """List the matches ahead, and the forms that add some."""
    if wants_file():
        state = app_state()
        return send_tables(matches_table(state.store, state.clock()))
    return _list_page(Form({}))


@pages.post("/matches/file")
@for_squads
def load_matches() -> str | BaseResponse:
    """Load a fixtures file; with faults nothing is changed and all of them are listed."""
    state = app_state()
    form = Form(request.form)
    sent = request.files.get("file")
    if sent is None or not sent.filename:
        form.fault("file", _("Choose a fixtures file (.csv or .xlsx)."))
        return make_response(_list_page(form), 422)
    try:
        flash(load_fixtures(state.store, ClubFile(sent.filename, sent.read())))
    except FaultyInputError as fault:
        form.problems += [Problem("file", p.code, str(p)) for p in fault.problems]
        return make_response(_list_page(form), 422)
    return redirect(url_for("season.matches"))


@pages.post("/matches")
@for_squads
def add_match() -> str | BaseResponse:
    """Add a match by hand."""
    form = Form(request.form)
    if only_looks():
        return _list_page(form)
    squad = form.text("squad", 80)
    if not squad:
        form.fault("squad", _("Choose the squad."))
    line = _read_line(form, squad)
    if line is not None:
        try:
            number = add_fixture(app_state().store, line)
        except FaultyInputError as fault:
            form.problems += [Problem(p.where, p.code, p.message) for p in fault.problems]
        else:
            flash(_("Added. Now choose its ground."))
            return redirect(url_for("season.match", number=number))
    return make_response(_list_page(form), 422)


@pages.post("/matches/free")
@for_squads
def place_free() -> str | BaseResponse:
    """Give ground to every match that disturbs nobody."""
    state = app_state()
    done = place_free_matches(state.store, state.clock())
    for words in done:
        flash(words)
    if not done:
        flash(_("No match without ground can be placed without displacing somebody."), "caution")
    return redirect(url_for("season.matches"))


@pages.get("/matches/<int:number>")
@for_squads
def match(number: int) -> str | BaseResponse:
    """Show a match, what ground does, and whom a choice displaces."""
    return _match_page(number, Form(request.args))


@pages.post("/matches/<int:number>/place")
@for_squads
def place(number: int) -> str | BaseResponse:
    """Give a match its ground."""
    state = app_state()
    form = Form(request.form)
    choice = _read_choice(form.text("choice"))
    if choice is None:
        form.fault("choice", _("Choose the ground and the kick-off."))
        return make_response(_match_page(number, form), 422)
    try:
        decisions = read_decisions(request.form)
        flash(place_match(state.store, number, choice, decisions, state.clock()))
    except (ClashError, OutdatedError, RefusedError) as fault:
        form.problems.append(Problem("choice", "refused", str(fault)))
        return make_response(_match_page(number, form), 422)
    return redirect(url_for("season.matches"))


@pages.post("/matches/<int:number>/change")
@for_squads
def change_fixture(number: int) -> str | BaseResponse:
    """Change a match; its ground goes along, or is given back."""
    state = app_state()
    form = Form(request.form)
    line = _read_line(form, "")
    if line is not None:
        try:
            flash(change_match(state.store, number, line, state.clock()))
        except FaultyInputError as fault:
            form.problems += fault.problems
        except (ClashError, RefusedError) as fault:
            form.problems.append(Problem("date", "refused", str(fault)))
        else:
            return redirect(url_for("season.match", number=number))
    return make_response(_match_page(number, form), 422)


@pages.post("/matches/<int:number>/call-off")
@for_squads
def call_off_match(number: int) -> str | BaseResponse:
    """Call a match off."""
    state = app_state()
    flash(call_off(state.store, number, state.clock()))
    return redirect(url_for("season.matches"))


@pages.get("/matches/<int:number>/back")
@for_squads
def who_made_way(number: int) -> str:
    """Show who made way for a match that gave its ground back."""
    return _made_way_page(number, Form({}))


@pages.post("/matches/<int:number>/back")
@for_squads
def bring_back_for_match(number: int) -> str | BaseResponse:
    """Bring back the sessions ticked."""
    state = app_state()
    back = read_back(request.form)
    try:
        flash(bring_back_for(state.store, number, state.clock(), back))
    except (ClashError, HinderedError, OutdatedError, RefusedError) as fault:
        form = Form(request.form, [Problem("returns", "refused", str(fault))])
        return make_response(_made_way_page(number, form), 422)
    return redirect(url_for("season.matches"))


def _list_page(form: Form) -> str:
    state = app_state()
    squads = booking_choices(state.store, None).squads
    return render_template(
        "evening/matches.html",
        lines=list_matches(state.store, state.clock()),
        unfinished=matches_to_finish(state.store, state.clock()),
        squads=tuple(replace(choice, value=choice.words) for choice in squads),
        formats=_formats(),
        values=form.values,
        problems=form.problems,
    )


def _match_page(number: int, form: Form) -> str:
    state = app_state()
    choice = _read_choice(form.text("choice"))
    try:
        page = see_match(state.store, number, state.clock(), choice)
    except MissingError as fault:
        if choice is None:
            raise
        form.problems.append(Problem("choice", "gone", str(fault)))
        page = see_match(state.store, number, state.clock())
    fixture = page.fixture
    window = fixture.kick_off_to > fixture.kick_off_from
    values = {
        "opponent": fixture.opponent,
        "date": fixture.day.isoformat(),
        "from": clock_from_minute(fixture.kick_off_from),
        "to": clock_from_minute(fixture.kick_off_to) if window else "",
        "minutes": str(fixture.minutes),
        "format": fixture.format_code,
        "officials": fixture.officials,
        "opponents": fixture.opponents,
        "note": fixture.note,
        **form.values,
    }
    return render_template(
        "evening/match.html",
        page=page,
        made_way=see_made_way(state.store, number, state.clock()),
        formats=_formats(),
        values=values,
        problems=form.problems,
    )


def _made_way_page(number: int, form: Form) -> str:
    state = app_state()
    return render_template(
        "evening/made_way.html",
        number=number,
        shown=see_made_way(state.store, number, state.clock()),
        ticked=ticked(form.values),
        problems=form.problems,
    )


def _formats() -> tuple[Choice, ...]:
    return tuple(Choice(*entry) for entry in list_match_formats(app_state().store))


def _read_choice(text: str) -> tuple[int, int] | None:
    area, _unused, minute = text.partition("-")
    if area.isdecimal() and minute.isdecimal() and len(text) < 18:
        return int(area), int(minute)
    return None


def _read_line(form: Form, squad: str) -> FixtureLine | None:
    opponent = form.text("opponent", 80)
    if not opponent:
        form.fault("opponent", _("Enter who comes."))
    day, start = form.day("date"), form.minute("from")
    latest = form.minute("to") if form.text("to") else start
    if start is not None and latest is not None and latest < start:
        form.fault("to", _("The latest kick-off must not come before the earliest."))
    minutes = form.number("minutes", _("Enter minutes, like 75.")) if form.text("minutes") else None
    if minutes is not None and not 5 <= minutes <= 300:
        form.fault("minutes", _("Enter 5 to 300 minutes, half-time among them."))
    code = form.text("format")
    if code and code not in dict(list_match_formats(app_state().store)):
        form.fault("format", _("Choose a form of the game, or leave it to the squad's age."))
    officials, opponents = form.text("officials", 200), form.text("opponents", 200)
    note = form.text("note", 200)
    if form.problems or day is None or start is None or latest is None:
        return None
    return FixtureLine(
        row=0,
        squad=squad,
        day=day,
        kick_off_from=start,
        kick_off_to=latest,
        opponent=opponent,
        format_code=code,
        minutes=minutes,
        warm_up_minutes=None,
        after_minutes=None,
        pitch_name="",
        officials=officials,
        opponents=opponents,
        note=note,
    )
