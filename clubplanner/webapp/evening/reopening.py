"""A closure: open its ground again and bring back who had to go, or change it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import flash, make_response, redirect, render_template, request, url_for

from clubplanner.domain.problems import Problem
from clubplanner.domain.times.hours_typed import TypedTimeError, instant_typed
from clubplanner.errors import ClashError, HinderedError, OutdatedError, RefusedError
from clubplanner.services.evening.closures.changes import (
    ClosureChange,
    change_closure,
    foresee_change,
)
from clubplanner.services.evening.closures.reopening import (
    bring_back_sessions,
    reopen_ground,
    see_closure,
)
from clubplanner.services.evening.evening import booking_choices
from clubplanner.services.rows.club.club import club_zone
from clubplanner.webapp.base.choosing import only_looks
from clubplanner.webapp.base.forms import Form, told
from clubplanner.webapp.base.security import for_grounds
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.evening.closures import CONDITIONS, read_decisions, read_ground
from clubplanner.webapp.evening.coming_back import read_back, ticked
from clubplanner.webapp.season.season import pages

if TYPE_CHECKING:
    from collections.abc import Callable

    from werkzeug.wrappers import Response as BaseResponse


@pages.get("/closures/<int:number>")
@for_grounds
def closure(number: int) -> str:
    """Show a closure, who could come back, and the forms that open and change it."""
    return _closure_page(number, Form({}))


@pages.post("/closures/<int:number>/open")
@for_grounds
def reopen(number: int) -> str | BaseResponse:
    """Open ground again, and bring back the sessions ticked."""
    state = app_state()
    back = {} if request.form.get("only") else read_back(request.form)
    return _done(number, lambda: reopen_ground(state.store, number, state.clock(), back))


@pages.post("/closures/<int:number>/back")
@for_grounds
def bring_back(number: int) -> str | BaseResponse:
    """Bring sessions back to ground that is open again already."""
    state = app_state()
    back = read_back(request.form)
    return _done(number, lambda: bring_back_sessions(state.store, number, state.clock(), back))


@pages.get("/closures/<int:number>/look")
@for_grounds
def look_at_change(number: int) -> str | BaseResponse:
    """Show who else has to go for a change of a closure, and who could come back."""
    form = Form(request.args)
    if only_looks():
        return _closure_page(number, form)
    wish = _read_change(form)
    if wish is None:
        return make_response(_closure_page(number, form), 422)
    return _look_page(number, form, wish)


@pages.post("/closures/<int:number>")
@for_grounds
def change(number: int) -> str | BaseResponse:
    """Change a closure as it was decided."""
    state = app_state()
    form = Form(request.form)
    wish = _read_change(form)
    if wish is None:
        return make_response(_closure_page(number, form), 422)
    try:
        done = change_closure(
            state.store,
            number,
            wish,
            read_decisions(request.form),
            read_back(request.form),
            state.clock(),
        )
    except (ClashError, HinderedError, OutdatedError, RefusedError) as fault:
        form.problems.append(Problem("returns", "refused", str(fault)))
        return _look_page(number, form, wish)
    flash(done.words)
    return redirect(url_for("season.closure", number=number))


def _done(number: int, act: Callable[[], str]) -> str | BaseResponse:
    try:
        flash(act())
    except (ClashError, HinderedError, OutdatedError, RefusedError) as fault:
        form = Form(request.form, [Problem("returns", "refused", str(fault))])
        return make_response(_closure_page(number, form), 422)
    return redirect(url_for("season.closures"))


def _look_page(number: int, form: Form, wish: ClosureChange) -> BaseResponse:
    state = app_state()
    try:
        foreseen = foresee_change(state.store, number, wish, state.clock())
    except (ClashError, RefusedError) as fault:
        form.problems.append(Problem("until", "refused", str(fault)))
        return make_response(_closure_page(number, form), 422)
    chosen = read_decisions(form.values)
    page = render_template(
        "evening/closure_change.html",
        foreseen=foreseen,
        displaced=[one.choosing(chosen.get(one.number)) for one in foreseen.displaced],
        returns=foreseen.returns,
        ticked=ticked(form.values),
        wish=wish,
        values=form.values,
        problems=form.problems,
    )
    return make_response(page, 422 if form.problems else 200)


def _closure_page(number: int, form: Form) -> str:
    state = app_state()
    shown = see_closure(state.store, number, state.clock())
    values = {
        "area": str(shown.area_id),
        "until_date": shown.until_date.isoformat(),
        "until": shown.until,
        "condition": shown.condition.value,
        "reason": shown.reason,
        "words": shown.allowed,
        **form.values,
    }
    return render_template(
        "evening/closure_see.html",
        shown=shown,
        returns=shown.returns,
        ticked=ticked(form.values),
        choices=booking_choices(state.store, None),
        conditions=told(CONDITIONS),
        zone=club_zone(state.store),
        values=values,
        problems=form.problems,
    )


def _read_change(form: Form) -> ClosureChange | None:
    ground = read_ground(form)
    last, end = form.day("until_date"), form.minute("until")
    if form.problems or ground is None or last is None or end is None:
        return None
    try:
        ends_at = instant_typed(last, end, club_zone(app_state().store))
    except TypedTimeError as fault:
        form.fault("until", str(fault))
        return None
    return ClosureChange(ground.area_id, ends_at, ground.condition, ground.reason, ground.words)
