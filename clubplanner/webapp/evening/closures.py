"""Closing ground: look at what it displaces, decide, close."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from flask import flash, make_response, redirect, render_template, request, url_for

from clubplanner.domain.booked.closures import Condition
from clubplanner.domain.problems import Problem
from clubplanner.domain.times.hours_typed import TypedTimeError, range_typed_until
from clubplanner.errors import (
    ClashError,
    MissingError,
    OutdatedError,
    PlannerError,
    RefusedError,
)
from clubplanner.language import _, marked, term
from clubplanner.services.evening.closures.closing import (
    ClosureWish,
    close_ground,
    foresee_closure,
)
from clubplanner.services.evening.closures.reopening import closures_to_finish
from clubplanner.services.evening.evening import booking_choices
from clubplanner.services.places.closure_list import list_closures
from clubplanner.services.places.closure_table import closures_table
from clubplanner.services.rows.club.club import club_zone
from clubplanner.services.share_out.again.again_for_closure import reshare_for_closure
from clubplanner.services.showing.choosing.choices import Choice
from clubplanner.sharing.values.problem import Effort
from clubplanner.webapp.base.choosing import only_looks
from clubplanner.webapp.base.forms import Form, is_count, told
from clubplanner.webapp.base.security import for_grounds, for_secretary
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.base.taking_away import send_tables, wants_file
from clubplanner.webapp.season.season import pages

if TYPE_CHECKING:
    from collections.abc import Mapping

    from werkzeug.wrappers import Response as BaseResponse

    from clubplanner.services.evening.evening import BookingChoices

CONDITIONS = (
    Choice(Condition.CLOSED.value, marked("Closed to everybody")),
    Choice(Condition.NO_STUDS.value, marked("Open, no studs")),
    Choice(Condition.HALF_LOAD.value, marked("Open, half the usual load")),
    Choice(Condition.OTHER.value, marked("Open, with another condition")),
)
REASONS = (marked("waterlogged"), marked("frozen"), marked("thunderstorm"), marked("not safe"))
"""Why ground is closed at once, for somebody who stands on it: a tap each."""
SECONDS = 8.0
"""How long a share-out after a closure may take while a person waits."""
DECISION = "place-"
"""Fields of the form that say where session number … goes begin with this."""


@pages.get("/closures")
@for_grounds
def closures() -> str | BaseResponse:
    """List what is closed, and the form that closes ground."""
    if wants_file():
        store = app_state().store
        lines = list_closures(store, app_state().clock())
        return send_tables(closures_table(lines, club_zone(store)))
    return _list_page(Form(request.args))


@pages.get("/closures/look")
@for_grounds
def look_at_closure() -> str | BaseResponse:
    """Show what a closure displaces and where each session can go; nothing is changed."""
    state = app_state()
    form = Form(request.args)
    if only_looks():
        return _list_page(form)
    wish = _read_wish(form)
    if wish is None:
        return make_response(_list_page(form), 422)
    try:
        foreseen = foresee_closure(state.store, wish, state.clock())
    except (ClashError, MissingError, RefusedError) as fault:
        form.problems.append(Problem("area", "refused", str(fault)))
        return make_response(_list_page(form), 422)
    return render_template(
        "evening/closure.html", foreseen=foreseen, wish=wish, values=request.args, problems=()
    )


@pages.post("/closures")
@for_grounds
def close() -> str | BaseResponse:
    """Close ground as it was decided."""
    state = app_state()
    form = Form(request.form)
    wish = _read_wish(form)
    if wish is not None:
        try:
            done = close_ground(state.store, wish, read_decisions(request.form), state.clock())
        except (ClashError, MissingError, OutdatedError, RefusedError) as fault:
            form.problems.append(Problem("area", "refused", str(fault)))
        else:
            flash(done.words)
            return redirect(url_for("season.closures"))
    return make_response(_list_page(form), 422)


@pages.post("/closures/again")
@for_secretary
def close_and_share_out() -> str | BaseResponse:
    """Propose how the evening goes on without the ground; publishing the proposal closes it."""
    state = app_state()
    form = Form(request.form)
    wish = _read_wish(form)
    if wish is not None:
        try:
            number = reshare_for_closure(
                state.store,
                wish,
                read_decisions(request.form),
                Effort(seconds=SECONDS),
                state.clock(),
            )
        except PlannerError as fault:
            form.problems.append(Problem("area", "refused", str(fault)))
        else:
            flash(_("Nothing is closed yet: look at the proposal and publish it."), "caution")
            return redirect(url_for("share_outs.see", number=number))
    return make_response(_list_page(form), 422)


def _list_page(form: Form) -> str:
    state = app_state()
    zone = club_zone(state.store)
    now = state.clock().astimezone(zone)
    start = now - timedelta(minutes=now.minute % 5)
    today = start.date().isoformat()
    is_today = form.values.get("date", today) == today
    values = {
        "date": today,
        "from": f"{start:%H:%M}" if is_today else "00:00",
        "until_date": today,
        "until": "24:00",
        "condition": Condition.CLOSED.value,
        **form.values,
    }
    choices = booking_choices(state.store, None)
    return render_template(
        "evening/closures.html",
        lines=list_closures(state.store, state.clock()),
        unfinished=closures_to_finish(state.store, state.clock()),
        choices=choices,
        ground=_name_of(choices, values.get("area", "")),
        reasons=[term(reason) for reason in REASONS],
        conditions=told(CONDITIONS),
        values=values,
        problems=form.problems,
    )


def _name_of(choices: BookingChoices, area: str) -> str:
    """Return the ground that was chosen already, in words; blank for none."""
    for group in choices.groups:
        for choice in group.areas:
            if choice.value == area:
                return choice.words
    return ""


def _read_wish(form: Form) -> ClosureWish | None:
    first, start = form.day("date"), form.minute("from")
    last, end = form.day("until_date"), form.minute("until")
    ground = read_ground(form)
    during = None
    if first is not None and last is not None and start is not None and end is not None:
        try:
            during = range_typed_until(first, start, last, end, club_zone(app_state().store))
        except TypedTimeError as fault:
            form.fault("from" if fault.is_start else "until", str(fault))
    if form.problems or ground is None or during is None:
        return None
    return ClosureWish(ground.area_id, during, ground.condition, ground.reason, ground.words)


@dataclass(frozen=True, slots=True)
class Ground:
    """Which ground is closed, how far and why, as a form says it."""

    area_id: int
    condition: Condition
    reason: str
    words: str


def read_ground(form: Form) -> Ground | None:
    """Read which ground is closed, how far and why; None when the form has problems."""
    area_id = form.number("area", _("Choose the ground."))
    words = [condition.value for condition in Condition]
    condition = form.text("condition")
    if condition not in words:
        form.fault("condition", _("Choose how far it is closed."))
    reason = form.text("reason", 80)
    if not reason:
        form.fault("reason", _("Say why, so that people are told: waterlogged, frost, an event."))
    allowed = form.text("words", 80)
    if condition == Condition.OTHER.value and not allowed:
        form.fault("words", _("Say what is allowed: “walking football only”."))
    if form.problems or area_id is None:
        return None
    return Ground(area_id, Condition(condition), reason, allowed)


def read_decisions(values: Mapping[str, str]) -> dict[int, str]:
    """Return where each displaced session goes, by booking number, from a form's fields."""
    return {
        int(name.removeprefix(DECISION)): value
        for name, value in values.items()
        if name.startswith(DECISION) and is_count(name.removeprefix(DECISION))
    }
