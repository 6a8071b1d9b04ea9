"""Hires: the list, a new one looked at and booked, one with all its dates, and its changes."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from flask import flash, make_response, redirect, render_template, request, url_for

from clubplanner.domain.booked.hires import EVERY_WEEKS, HireTimes
from clubplanner.domain.club.persons.coaches import is_phone
from clubplanner.domain.times.times import MINUTES_A_DAY
from clubplanner.errors import (
    ClashError,
    MissingError,
    OutdatedError,
    PlannerError,
    RefusedError,
)
from clubplanner.inputs.club_files.squads_file.coach_cells import no_phone_words
from clubplanner.language import _, ngettext, weekday_in_words
from clubplanner.services.evening.evening import booking_choices
from clubplanner.services.hires.booking import book_hire, book_more, foresee_hire, foresee_more
from clubplanner.services.hires.changes import (
    HireMove,
    end_hire,
    foresee_hire_move,
    move_hire,
    rename_hire,
)
from clubplanner.services.hires.dates import AGAINST, HireWish
from clubplanner.services.hires.hire_rows import LONGEST_NAME, LONGEST_NOTE
from clubplanner.services.hires.hire_tables import hire_dates_table, other_hires_table
from clubplanner.services.hires.pages import list_hires, list_other_hires, see_hire
from clubplanner.services.pasting.taken_away import hires_table
from clubplanner.services.rows.club.club import club_zone
from clubplanner.services.showing.choosing.choices import Choice
from clubplanner.webapp.base.choosing import looked_for, only_looks
from clubplanner.webapp.base.forms import LONGEST_REASON, Form
from clubplanner.webapp.base.leafing import leaf_through
from clubplanner.webapp.base.security import for_secretary
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.base.taking_away import send_tables, wants_file
from clubplanner.webapp.season.season import pages

if TYPE_CHECKING:
    from collections.abc import Sequence

    from werkzeug.wrappers import Response as BaseResponse

    from clubplanner.services.hires.changes import ForeseenHireMove
    from clubplanner.services.hires.dates import HireDate

DECISION = "on-"
"""What the fields of decisions begin with; the date follows."""
LONGEST_CALLED = 40
MOST_HIRES = 25
"""In a leaf of the list."""


@pages.get("/hires")
@for_secretary
def hires() -> str | BaseResponse:
    """List the hires, and the form for a new one."""
    if wants_file():
        store, now = app_state().store, app_state().clock()
        others = other_hires_table(list_other_hires(store, now), club_zone(store))
        return send_tables(hires_table(store, now), others)
    return _list_page(Form({}))


@pages.post("/hires")
@for_secretary
def new_hire() -> str | BaseResponse:
    """Look at every date of a new hire, or book what can be."""
    state = app_state()
    form = Form(request.form)
    if only_looks():
        return _list_page(form)
    act = form.text("act")
    wish = _read_wish(form) if act != "edit" else None
    if wish is None:
        return make_response(_list_page(form), 200 if act == "edit" else 422)
    decisions = _decisions()
    try:
        if act == "book":
            because = form.text("because", LONGEST_REASON)
            done = book_hire(state.store, wish, state.clock(), decisions, because)
            flash(done.words)
            return redirect(url_for("season.hire", number=done.number))
    except (ClashError, MissingError, OutdatedError, RefusedError) as fault:
        form.fault(_where(form, fault), str(fault))
    try:
        dates = foresee_hire(state.store, wish, state.clock(), decisions)
    except (MissingError, RefusedError) as fault:
        form.fault("area", str(fault))
        return make_response(_list_page(form), 422)
    page = render_template(
        "hires/dates.html",
        form_values=form.values,
        problems=form.problems,
        action=url_for("season.new_hire"),
        carried=_carried(form),
        is_new=True,
        name=wish.name,
        called=" ".join(part for part in (wish.contact, wish.phone) if part),
        **_in_parts(dates),
    )
    return make_response(page, 422 if form.problems else 200)


@pages.get("/hires/<int:number>")
@for_secretary
def hire(number: int) -> str | BaseResponse:
    """Show a hire with its dates and the forms that change it."""
    if wants_file():
        store = app_state().store
        page = see_hire(store, number, app_state().clock())
        return send_tables(hire_dates_table(page, club_zone(store)))
    return _hire_page(number, Form({}))


@pages.post("/hires/<int:number>/dates")
@for_secretary
def more_dates(number: int) -> str | BaseResponse:
    """Look at further dates of a hire and those left out, or book what can be."""
    state = app_state()
    form = Form(request.form)
    until = form.day("until") if form.text("until") else None
    if form.problems:
        return make_response(_hire_page(number, form), 422)
    decisions = _decisions()
    try:
        if form.text("act") == "book":
            because = form.text("because", LONGEST_REASON)
            done = book_more(
                state.store, number, form.text("mark"), until, state.clock(), decisions, because
            )
            flash(done.words)
            return redirect(url_for("season.hire", number=number))
    except (ClashError, OutdatedError, RefusedError) as fault:
        form.fault(_where(form, fault), str(fault))
    try:
        more = foresee_more(state.store, number, until, state.clock(), decisions)
    except RefusedError as fault:
        form.fault("until", str(fault))
        return make_response(_hire_page(number, form), 422)
    page = render_template(
        "hires/dates.html",
        form_values=form.values,
        problems=form.problems,
        action=url_for("season.more_dates", number=number),
        carried={"until": form.text("until"), "mark": more.mark},
        is_new=False,
        number=number,
        name=more.name,
        called="",
        **_in_parts(more.dates),
    )
    return make_response(page, 422 if form.problems else 200)


@pages.post("/hires/<int:number>/move")
@for_secretary
def move_hire_dates(number: int) -> str | BaseResponse:
    """Say which dates would move, or move them."""
    state = app_state()
    form = Form(request.form)
    if only_looks():
        return _hire_page(number, form)
    move = _read_move(form)
    foreseen: ForeseenHireMove | None = None
    if move is not None:
        try:
            if form.text("act") == "move":
                because = form.text("because", LONGEST_REASON) if "all" in form.values else ""
                mark = form.text("mark")
                flash(move_hire(state.store, number, mark, move, state.clock(), because))
                return redirect(url_for("season.hire", number=number))
            foreseen = foresee_hire_move(state.store, number, move, state.clock())
        except (ClashError, OutdatedError, RefusedError) as fault:
            form.fault("from_on", str(fault))
    page = _hire_page(number, form, foreseen)
    return make_response(page, 422 if form.problems else 200)


@pages.post("/hires/<int:number>/end")
@for_secretary
def end_hire_dates(number: int) -> str | BaseResponse:
    """End a hire after a date, or before its next one."""
    state = app_state()
    form = Form(request.form)
    last_on = None if form.text("act") == "all" else form.day("end_on")
    why = form.text("why", LONGEST_REASON)
    if not form.problems:
        try:
            words = end_hire(state.store, number, form.text("mark"), last_on, state.clock(), why)
        except (OutdatedError, RefusedError) as fault:
            form.fault("end_on", str(fault))
        else:
            flash(words)
            stands = any(line.number == number for line in list_hires(state.store, state.clock()))
            there = url_for("season.hire", number=number) if stands else url_for("season.hires")
            return redirect(there)
    return make_response(_hire_page(number, form), 422)


@pages.post("/hires/<int:number>/who")
@for_secretary
def correct_hire(number: int) -> str | BaseResponse:
    """Correct who takes the ground and whom to call."""
    state = app_state()
    form = Form(request.form)
    name, contact, phone, note = _read_who(form)
    if not form.problems:
        try:
            words = rename_hire(
                state.store, number, form.text("mark"), name, contact, phone, note, state.clock()
            )
        except (OutdatedError, RefusedError) as fault:
            form.fault("name", str(fault))
        else:
            flash(words)
            return redirect(url_for("season.hire", number=number))
    return make_response(_hire_page(number, form), 422)


def _list_page(form: Form) -> str:
    state = app_state()
    now = state.clock()
    lines = list_hires(state.store, now)
    return render_template(
        "hires/list.html",
        leaf=leaf_through(lines, MOST_HIRES, "hire"),
        others=leaf_through(list_other_hires(state.store, now), MOST_HIRES, "other"),
        choices=booking_choices(state.store, None),
        every=_every(),
        values={"every": "1", **form.values},
        problems=form.problems,
    )


def _hire_page(number: int, form: Form, foreseen: ForeseenHireMove | None = None) -> str:
    state = app_state()
    shown = see_hire(state.store, number, state.clock())
    return render_template(
        "hires/see.html",
        page=shown,
        foreseen=foreseen,
        mark=form.text("mark") if looked_for() else shown.mark,
        choices=booking_choices(state.store, None),
        weekdays=[Choice(str(n), weekday_in_words(n)) for n in range(7)],
        values={**shown.values, "end_on": shown.values["last"], **form.values},
        problems=form.problems,
    )


def _where(form: Form, fault: PlannerError) -> str:
    """Return the field at which a refused press is mended: the reason's, or the dates."""
    is_reason = isinstance(fault, RefusedError) and not form.text("because")
    return "because" if is_reason and any(map(_is_against, form.values.values())) else "dates"


def _is_against(value: str) -> bool:
    return value.startswith(AGAINST)


def _every() -> list[Choice]:
    return [Choice(str(n), ngettext("every week", "every %(num)s weeks", n)) for n in EVERY_WEEKS]


def _in_parts(dates: Sequence[HireDate]) -> dict[str, object]:
    """Part the dates that want a look from those where nothing is to be said."""
    asked = [one for one in dates if one.against or one.notes or not one.chosen]
    return {
        "asked": asked,
        "plain": [one for one in dates if one not in asked],
        "count": sum(one.is_booked for one in dates),
        "total": len(dates),
        "may_be_against": any(c.value.startswith(AGAINST) for one in asked for c in one.choices),
    }


def _read_wish(form: Form) -> HireWish | None:
    name, contact, phone, note = _read_who(form)
    area_id = form.number("area", _("Choose the ground."))
    first = form.day("first")
    last = form.day("last") if form.text("last") else first
    every = form.number("every", _("Choose every week, or every second week."))
    minutes = _read_minutes(form)
    if form.problems or None in (area_id, first, last, every, minutes):
        return None
    times = HireTimes(first, last, every, *minutes)  # type: ignore[arg-type, misc]
    if times.fault is not None:
        form.fault(*times.fault)
        return None
    skips = "skip_breaks" in form.values
    return HireWish(name, area_id or 0, times, contact, phone, note, skips)


def _read_who(form: Form) -> tuple[str, str, str, str]:
    name = form.text("name", LONGEST_NAME)
    if not name:
        form.fault("name", _("Enter who takes the ground."))
    contact, phone = form.text("contact", LONGEST_NAME), form.text("phone", LONGEST_CALLED)
    if phone and not is_phone(phone):
        form.fault("phone", no_phone_words(phone))
    return name, contact, phone, form.text("note", LONGEST_NOTE)


def _read_minutes(form: Form) -> tuple[int, int] | None:
    """Return from when to when; past midnight is the next day."""
    start, end = form.minute("from"), form.minute("to")
    if start is None or end is None:
        return None
    if start == end:
        form.fault("to", _("The end must come after the start."))
        return None
    return start, end if end > start else end + MINUTES_A_DAY


def _read_move(form: Form) -> HireMove | None:
    from_on = form.day("from_on")
    area_id = form.number("area", _("Choose the ground."))
    weekday = form.number("weekday", _("Choose the weekday."))
    minutes = _read_minutes(form)
    if weekday is not None and weekday > 6:
        form.fault("weekday", _("Choose the weekday."))
    if form.problems or from_on is None or area_id is None or weekday is None or minutes is None:
        return None
    return HireMove(from_on, area_id, weekday, *minutes)


def _decisions() -> dict[date, str]:
    found = {}
    for name, value in request.form.items():
        if name.startswith(DECISION):
            try:
                found[date.fromisoformat(name.removeprefix(DECISION))] = value
            except ValueError:
                continue
    return found


def _carried(form: Form) -> dict[str, str]:
    """Return what was typed, to travel with the page of dates."""
    names = ("name", "contact", "phone", "note", "area", "first", "last", "every", "from", "to")
    carried = {name: form.text(name) for name in names}
    return {**carried, "skip_breaks": "1"} if "skip_breaks" in form.values else carried
