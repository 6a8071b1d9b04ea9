"""Squads and what they ask for, by form, and as a file."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from flask import flash, make_response, redirect, render_template, request, url_for

from clubplanner.domain.problems import Problem
from clubplanner.errors import FaultyInputError, OutdatedError
from clubplanner.inputs.club_files.spoken_cells import file_cells, told_cells
from clubplanner.inputs.club_files.squads_file.squads import ASK_COLUMNS, SQUAD_COLUMNS
from clubplanner.language import _
from clubplanner.services.setup.squads.chosen_coach import (
    ASSISTANT,
    FIRST,
    SOMEBODY_NEW,
    WRITTEN,
    ChosenCoaches,
)
from clubplanner.services.setup.squads.forms import (
    NEW,
    drop_asks,
    save_squad,
    see_squad_form,
    write_squads_file,
)
from clubplanner.services.showing.choosing.choices import Choice
from clubplanner.webapp.base.choosing import looked_for, only_looks
from clubplanner.webapp.base.security import for_squads
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.setup.squad_lists import squad_lists, words_of
from clubplanner.webapp.setup.squads import pages

if TYPE_CHECKING:
    from werkzeug.datastructures import MultiDict
    from werkzeug.wrappers import Response as BaseResponse

MOST_ASKS = 6
NEEDS = ("needs goal", "needs light")
MOST_LETTERS = 500


@pages.get("/new-squad")
@for_squads
def new_squad() -> str:
    """Show the form of a new squad."""
    return _page(NEW)


@pages.get("/squads/<key>")
@for_squads
def edit_squad(key: str) -> str:
    """Show the form of a squad."""
    return _page(key)


@pages.post("/new-squad")
@for_squads
def add_squad() -> str | BaseResponse:
    """Add a squad."""
    return _save(NEW)


@pages.post("/squads/<key>")
@for_squads
def change_squad(key: str) -> str | BaseResponse:
    """Change a squad and what it asks for."""
    return _save(key)


@pages.post("/squads/<key>/rest")
@for_squads
def rest_squad(key: str) -> str | BaseResponse:
    """Let a squad ask for nothing."""
    state = app_state()
    try:
        name = drop_asks(state.store, key, request.form.get("seen", ""), state.clock())
    except OutdatedError as fault:
        return make_response(_page(key, [Problem("squad", "outdated", str(fault))]), 409)
    flash(_("%(name)s now ask for nothing; their bookings stand.", name=name))
    return redirect(url_for("squads.listing"))


@pages.get("/squads.csv")
@for_squads
def squads_file() -> BaseResponse:
    """Send the squads as the file they could be loaded from."""
    response = make_response(write_squads_file(app_state().store))
    response.headers["Content-Type"] = "text/csv; charset=utf-8"
    response.headers["Content-Disposition"] = 'attachment; filename="squads.csv"'
    return response


def field_of(column: str, number: int = 0) -> str:
    """Return the name of a column's field; of an ask's with its number, from 1."""
    name = column.replace(" ", "_").replace("-", "")
    return f"{name}_{number}" if number else name


def _save(key: str) -> str | BaseResponse:
    state = app_state()
    squad = _cells(request.form, SQUAD_COLUMNS)
    numbers = range(1, MOST_ASKS + 1)
    typed = [_cells(request.form, ASK_COLUMNS, number) for number in numbers]
    if only_looks():
        return _page(key, None, squad, typed)
    kept = [n for n, ask in enumerate(typed, 1) if _says_something(ask)]
    asks = [typed[n - 1] for n in kept]
    seen = request.form.get("seen", "")
    try:
        new_key = save_squad(
            state.store,
            key,
            squad,
            asks,
            seen,
            state.clock(),
            request.form.get("coach_is", ""),
            ChosenCoaches(*(request.form.get(name, "") for name in (FIRST, ASSISTANT))),
        )
    except FaultyInputError as fault:
        problems = [_at_field(problem, kept or [1]) for problem in fault.problems]
        return make_response(_page(key, problems, squad, typed), 422)
    except OutdatedError as fault:
        problems = [Problem("squad", "outdated", str(fault))]
        return make_response(_page(key, problems, squad, typed), 409)
    flash(_("%(squad)s saved.", squad=squad["squad"]))
    return redirect(url_for("squads.edit_squad", key=new_key))


def _cells(form: MultiDict[str, str], columns: tuple[str, ...], number: int = 0) -> dict[str, str]:
    typed = {
        c: ", ".join(filter(None, map(str.strip, form.getlist(field_of(c, number)))))[:MOST_LETTERS]
        for c in columns
    }
    return file_cells(typed)


def _says_something(ask: dict[str, str]) -> bool:
    """Tell whether an ask is there: a list left at "no" alone asks for nothing."""
    return any(text and not (c in NEEDS and text == "no") for c, text in ask.items())


def _at_field(problem: Problem, kept: list[int]) -> Problem:
    number, _unused, column = problem.where.partition(" ")
    if number.isdecimal() and 0 < int(number) <= len(kept):
        return Problem(field_of(column, kept[int(number) - 1]), problem.code, problem.message)
    is_field = problem.where in (*SQUAD_COLUMNS, "coach_is", FIRST, ASSISTANT)
    where = field_of(problem.where) if is_field else "squad"
    text = problem.message if is_field else str(problem)
    return Problem(where, problem.code, text)


def _page(
    key: str,
    problems: list[Problem] | None = None,
    squad: dict[str, str] | None = None,
    asks: list[dict[str, str]] | None = None,
) -> str:
    form = see_squad_form(app_state().store, key)
    written = _("as written below")
    if form.coach_name:
        written = _("%(coach)s, as written below", coach=form.coach_name)
    shown_squad = form.squad if squad is None else squad
    shown_asks = list(form.asks) if asks is None else [ask for ask in asks if _says_something(ask)]
    values = {field_of(column): value for column, value in told_cells(shown_squad).items()}
    for name in ("coach_is", FIRST, ASSISTANT):
        values[name] = request.form.get(name, "")
    for number, ask in enumerate([*shown_asks, {}][:MOST_ASKS], 1):
        told = told_cells(ask)
        values.update({field_of(column, number): value for column, value in told.items()})
    return render_template(
        "setup/squads/edit.html",
        key=key,
        form=form,
        seen=request.form.get("seen", "") if looked_for() else form.seen,
        first_coach=(
            Choice(WRITTEN, written),
            Choice(SOMEBODY_NEW, _("somebody new, as written below")),
        ),
        coaches=[replace(one, group=_("People who are known")) for one in form.people],
        lists=squad_lists(form),
        words_of=words_of,
        values=values,
        count=min(len(shown_asks) + 1, MOST_ASKS),
        known=len(shown_asks),
        problems=problems or (),
    )
