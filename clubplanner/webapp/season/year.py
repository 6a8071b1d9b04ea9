"""The year: stretches, breaks, public holidays and the squads' own seasons."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import flash, make_response, redirect, render_template, request, url_for

from clubplanner.domain.problems import Problem
from clubplanner.domain.searching import without_accents
from clubplanner.domain.times.year import region_names
from clubplanner.errors import MissingError, RefusedError
from clubplanner.language import _, country_name
from clubplanner.services.season.season_tables import year_tables
from clubplanner.services.season.squads.own_seasons import set_squad_season
from clubplanner.services.season.stretch_dates import see_stretch_dates
from clubplanner.services.season.year import (
    LONGEST_DAYS,
    add_break,
    ask_again_about_holiday,
    keep_holiday,
    remove_break,
    save_stretch,
    see_year,
    set_holiday_place,
)
from clubplanner.services.showing.choosing.choices import Choice
from clubplanner.webapp.base.forms import Form
from clubplanner.webapp.base.security import for_secretary
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.base.taking_away import send_tables, wants_file
from clubplanner.webapp.season.season import pages

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import date

    from werkzeug.wrappers import Response as BaseResponse


@pages.get("/year")
@for_secretary
def year() -> str | BaseResponse:
    """Show the year."""
    if wants_file():
        return send_tables(*year_tables(see_year(app_state().store, app_state().clock())))
    return _page(Form({}))


@pages.post("/year/holidays")
@for_secretary
def choose_holidays() -> str | BaseResponse:
    """Say whose public holidays count."""
    form = Form(request.form)
    return _done(
        form,
        "country",
        lambda: set_holiday_place(app_state().store, form.text("country"), form.text("region")),
    )


@pages.post("/year/holidays/decide")
@for_secretary
def decide_holiday() -> str | BaseResponse:
    """Decide about one public holiday: no training, or training as usual, or undecided again."""
    state = app_state()
    form = Form(request.form)
    day = form.day("day")
    choice = form.text("choice")
    if day is None or choice not in ("break", "train", "again"):
        form.fault("day", _("Choose what happens on this holiday."))
        return make_response(_page(form), 422)
    if choice == "train":
        return _done(form, "day", lambda: keep_holiday(state.store, day))
    if choice == "again":
        return _done(form, "day", lambda: ask_again_about_holiday(state.store, day))
    name = form.text("name", 80)
    return _done(
        form, "day", lambda: add_break(state.store, name, day, day, state.clock(), withdraws=True)
    )


@pages.post("/year/breaks")
@for_secretary
def new_break() -> str | BaseResponse:
    """Add dates without training."""
    state = app_state()
    form = Form(request.form)
    name, first, last = form.text("name", 80), form.day("first"), form.day("last")
    if first is None or last is None:
        return make_response(_page(form), 422)
    withdraws = form.text("withdraws") == "yes"
    return _done(
        form,
        _where(name, "name", "last", first, last),
        lambda: add_break(state.store, name, first, last, state.clock(), withdraws=withdraws),
    )


@pages.post("/year/breaks/<int:number>/remove")
@for_secretary
def drop_break(number: int) -> str | BaseResponse:
    """Take a break out."""
    return _done(Form({}), "name", lambda: remove_break(app_state().store, number))


@pages.post("/year/stretches")
@for_secretary
def change_stretch() -> str | BaseResponse:
    """Add a stretch, or change one."""
    form = Form(request.form)
    name = form.text("stretch_name", 80)
    first, last = form.day("stretch_first"), form.day("stretch_last")
    if first is None or last is None:
        return make_response(_page(form), 422)
    key = form.text("stretch")
    if key and not form.problems and _changes_bookings(key, name, first, last):
        looked = url_for(
            "season.see_stretch",
            key=key,
            stretch_name=name,
            stretch_first=first,
            stretch_last=last,
        )
        return redirect(looked)
    where = _where(name, "stretch_name", "stretch_last", first, last)
    return _done(form, where, lambda: save_stretch(app_state().store, key, name, first, last))


@pages.post("/year/squads")
@for_secretary
def squad_season() -> str | BaseResponse:
    """Give a squad a season of its own."""
    form = Form(request.form)
    first = form.day("squad_first") if form.text("squad_first") else None
    last = form.day("squad_last") if form.text("squad_last") else None
    if not form.text("squad"):
        form.fault("squad", _("Choose the squad."))
    if form.problems:
        return make_response(_page(form), 422)
    return _done(
        form, "squad", lambda: set_squad_season(app_state().store, form.text("squad"), first, last)
    )


def _changes_bookings(key: str, name: str, first: date, last: date) -> bool:
    """Tell whether other dates of a stretch have to be looked through before they are saved."""
    state = app_state()
    if not 0 <= (last - first).days <= LONGEST_DAYS:
        return False
    try:
        return not see_stretch_dates(state.store, key, name, first, last, state.clock()).is_quiet
    except MissingError:
        return False


def _where(name: str, name_field: str, last_field: str, first: date, last: date) -> str:
    """Return the field at which a stretch of days is refused: at the dates where they do not do."""
    return name_field if not name or 0 <= (last - first).days <= LONGEST_DAYS else last_field


def _done(form: Form, field: str, act: Callable[[], str]) -> str | BaseResponse:
    if not form.problems:
        try:
            flash(act())
        except (MissingError, RefusedError) as fault:
            form.problems.append(Problem(field, "refused", str(fault)))
        else:
            return redirect(url_for("season.year"))
    return make_response(_page(form), 422)


def _page(form: Form) -> str:
    page = see_year(app_state().store, app_state().clock())
    values = {"country": page.country, "region": page.region, "withdraws": "yes", **form.values}
    regions, called = page.countries.get(page.country, ()), region_names(page.country)
    return render_template(
        "season/year.html",
        page=page,
        countries=sorted(
            (Choice(code, f"{country_name(code)} ({code})") for code in page.countries),
            key=lambda choice: without_accents(choice.words),
        ),
        regions=sorted(
            (
                Choice(code, f"{called[code]} ({code})" if code in called else code)
                for code in regions
            ),
            key=lambda choice: without_accents(choice.words),
        ),
        stretches=tuple(Choice(s.key, s.name) for s in page.stretches),
        squads=tuple(Choice(key, name) for key, name, _unused in page.squads),
        values=values,
        problems=form.problems,
    )
