"""Give and take, for coaches: hand back, ask for a session or more ground, change places."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import flash, make_response, redirect, render_template, request, url_for

from clubplanner.domain.problems import Problem
from clubplanner.errors import (
    ClashError,
    FaultyInputError,
    HinderedError,
    MissingError,
    PlannerError,
    RefusedError,
)
from clubplanner.language import _, marked
from clubplanner.services.coach.coach_pages import list_squads
from clubplanner.services.giving.head_counts import say_head_count
from clubplanner.services.giving.requests import (
    SessionAsk,
    ask_for_more,
    ask_for_session,
    hand_back,
    take_back_ask,
)
from clubplanner.services.giving.swap_pages import list_swaps, see_own_session
from clubplanner.services.giving.swaps import accept_swap, end_swap, offer_swap
from clubplanner.services.giving.waiting_list import list_asks
from clubplanner.services.showing.choosing.choices import Choice
from clubplanner.webapp.base.forms import LONGEST_REASON, Form, told
from clubplanner.webapp.base.security import for_coach, signed_in_person
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.coach.coach import pages

if TYPE_CHECKING:
    from collections.abc import Callable

    from werkzeug.wrappers import Response as BaseResponse

PARTS = (
    Choice("0", marked("Any")),
    Choice("0.25", marked("At least a quarter")),
    Choice("0.333", marked("At least a third")),
    Choice("0.5", marked("At least a half")),
    Choice("1", marked("A whole pitch")),
)


@pages.get("/give")
@for_coach
def give() -> str:
    """Show own asks, offers to change places, and the form that asks for a session."""
    return _give_page(Form({}))


@pages.post("/give")
@for_coach
def ask() -> str | BaseResponse:
    """Ask for a session."""
    state = app_state()
    form = Form(request.form)
    wish = _read_ask(form)
    if wish is not None:
        try:
            flash(ask_for_session(state.store, signed_in_person(), wish, state.clock()))
            return redirect(url_for("coach.give"))
        except FaultyInputError as fault:
            form.problems.extend(fault.problems)
        except (MissingError, RefusedError) as fault:
            form.problems.append(Problem("squad", "refused", str(fault)))
    return make_response(_give_page(form), 422)


@pages.post("/give/asks/<int:number>/take-back")
@for_coach
def take_back(number: int) -> BaseResponse:
    """Take back an ask of one's own."""
    flash(take_back_ask(app_state().store, signed_in_person(), number))
    return redirect(url_for("coach.give"))


@pages.post("/give/swaps/<int:number>/accept")
@for_coach
def accept(number: int) -> str | BaseResponse:
    """Accept an offer to change places."""
    state = app_state()
    try:
        flash(accept_swap(state.store, signed_in_person(), number, state.clock()))
    except (ClashError, HinderedError, RefusedError) as fault:
        form = Form({}, [Problem("swaps", "refused", str(fault))])
        return make_response(_give_page(form), 422)
    return redirect(url_for("coach.give"))


@pages.post("/give/swaps/<int:number>/end")
@for_coach
def end(number: int) -> BaseResponse:
    """Decline an offer, or take one's own back."""
    flash(end_swap(app_state().store, signed_in_person(), number))
    return redirect(url_for("coach.give"))


@pages.get("/sessions/<int:number>")
@for_coach
def session(number: int) -> str:
    """Show what a coach can do about a session."""
    return _session_page(number, Form({}))


@pages.post("/sessions/<int:number>/hand-back")
@for_coach
def give_back(number: int) -> str | BaseResponse:
    """Hand a session back."""
    state = app_state()
    form = Form(request.form)
    sequence = form.number("sequence", _("Open the session again."))
    why = form.text("why", LONGEST_REASON)
    if sequence is None or form.problems:
        return make_response(_session_page(number, form), 422)
    return _done(
        number,
        form,
        lambda: hand_back(
            state.store, signed_in_person(), number, sequence, state.clock(), why=why
        ),
    )


@pages.post("/sessions/<int:number>/head-count")
@for_coach
def head_count(number: int) -> str | BaseResponse:
    """Say with how many the squad comes."""
    state = app_state()
    form = Form(request.form)
    players = form.number("players", _("Enter how many players come."))
    keepers = form.number("keepers", _("Enter how many of them keep goal; 0 for none."))
    if players is None or keepers is None:
        return make_response(_session_page(number, form), 422)
    person = signed_in_person()
    try:
        flash(say_head_count(state.store, person, number, players, keepers, state.clock()))
    except RefusedError as fault:
        form.fault("players", str(fault))
        return make_response(_session_page(number, form), 422)
    return redirect(url_for("coach.session", number=number))


@pages.post("/sessions/<int:number>/more")
@for_coach
def more(number: int) -> str | BaseResponse:
    """Ask for more ground."""
    state = app_state()
    form = Form(request.form)
    note = form.text("note", 200)
    return _done(
        number,
        form,
        lambda: ask_for_more(state.store, signed_in_person(), number, note, state.clock()),
    )


@pages.post("/sessions/<int:number>/swap")
@for_coach
def swap(number: int) -> str | BaseResponse:
    """Offer to change places."""
    state = app_state()
    form = Form(request.form)
    other = form.number("other", _("Choose whom you offer it to."))
    note = form.text("swap_note", 200)
    if other is None:
        return make_response(_session_page(number, form), 422)
    return _done(
        number,
        form,
        lambda: offer_swap(state.store, signed_in_person(), number, other, note, state.clock()),
    )


def _done(number: int, form: Form, act: Callable[[], str]) -> str | BaseResponse:
    if not form.problems:
        try:
            flash(act())
            return redirect(url_for("coach.give"))
        except PlannerError as fault:
            if isinstance(fault, MissingError) and not _is_own(number):
                raise
            form.problems.append(Problem("other", "refused", str(fault)))
    return make_response(_session_page(number, form), 422)


def _is_own(number: int) -> bool:
    try:
        state = app_state()
        see_own_session(state.store, signed_in_person(), number, state.clock())
    except MissingError:
        return False
    return True


def _session_page(number: int, form: Form) -> str:
    state = app_state()
    page = see_own_session(state.store, signed_in_person(), number, state.clock())
    return render_template(
        "coach/session.html",
        page=page,
        others=tuple(Choice(value, words) for value, words in page.others),
        values={"players": page.players, "keepers": page.goalkeepers, **form.values},
        problems=form.problems,
    )


def _give_page(form: Form) -> str:
    state = app_state()
    person = signed_in_person()
    squads = list_squads(state.store, person)
    return render_template(
        "giving/give.html",
        asks=list_asks(state.store, state.clock(), person),
        swaps=list_swaps(state.store, person, state.clock()),
        squads=tuple(Choice(key, name) for key, name in squads),
        parts=told(PARTS),
        values=form.values,
        problems=form.problems,
    )


def _read_ask(form: Form) -> SessionAsk | None:
    squad = form.text("squad", 80)
    if not squad:
        form.fault("squad", _("Choose the squad."))
    day, start, end_min = form.day("date"), form.minute("from"), form.minute("to")
    minutes = form.number("minutes", _("Enter minutes, like 60."))
    part = form.text("part") or "0"
    if part not in [choice.value for choice in PARTS]:
        form.fault("part", _("Choose how much ground."))
    note = form.text("note", 200)
    if form.problems or day is None or start is None or end_min is None or minutes is None:
        return None
    if end_min <= start:
        form.fault("to", _("The end must come after the start."))
        return None
    return SessionAsk(squad, day, start, end_min, minutes, float(part), note)
