"""One session behind an address that ends with it, for whoever takes it in the coach's place."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, flash, make_response, redirect, render_template, request

from clubplanner.errors import MissingError, RefusedError
from clubplanner.language import _
from clubplanner.services.coach.one_session import (
    PassedSession,
    ended_words,
    see_one_session,
    see_passed_session,
)
from clubplanner.services.coach.squad_evening import FitForm
from clubplanner.services.giving.head_counts import say_head_count_in_place
from clubplanner.webapp.base.forms import Form
from clubplanner.webapp.base.security import by_address
from clubplanner.webapp.base.state import act_as, app_state
from clubplanner.webapp.coach.fits import (
    KEPT,
    read_fit,
    read_head_count,
    send_fit_picture,
    send_kept_fits,
    typed_fit,
)
from clubplanner.webapp.coach.ground import Room, send_area_map

if TYPE_CHECKING:
    from werkzeug.wrappers import Response as BaseResponse

    from clubplanner.services.addresses.links import OneSession

pages = Blueprint("one_session", __name__, url_prefix="/session")

ENDED = 410
"""Gone (RFC 9110, section 15.5.11): it was there, and will not be again."""


@pages.get("/<secret>")
@by_address
def see(secret: str) -> BaseResponse:
    """Show the session, what fits there, and how to get there."""
    state = app_state()
    form = Form(request.args)
    wish = read_fit(form)
    try:
        page = see_one_session(
            state.store, secret, FitForm() if form.problems else wish, state.clock()
        )
    except RefusedError as fault:
        form.fault("players", str(fault))
        page = see_one_session(state.store, secret, FitForm(), state.clock())
    if page.passed.is_ended:
        html = render_template(
            "coach/one_session_ended.html", passed=page.passed, words=ended_words(page.passed)
        )
        return make_response(html, ENDED)
    ground = page.ground
    known = {} if ground is None else {"players": ground.players, "goalkeepers": ground.goalkeepers}
    html = render_template(
        "coach/one_session.html",
        passed=page.passed,
        page=ground,
        values={**{name: str(value) for name, value in known.items()}, **form.values},
        problems=form.problems,
        room=Room("one_session", {"secret": secret}),
        fit_query={} if form.problems else typed_fit(form),
        kept=KEPT,
    )
    return make_response(html, 422 if form.problems else 200)


@pages.post("/<secret>/count/<int:number>")
@by_address
def count(secret: str, number: int) -> BaseResponse:
    """Note with how many the squad comes, if the coach lets whoever has the address say so."""
    passed = _passed(secret, number)
    form = Form(request.form)
    said = read_head_count(form)
    if said is None:
        flash(form.problems[0].message, "caution")
    else:
        act_as(passed.holder)
        state = app_state()
        try:
            flash(say_head_count_in_place(state.store, secret, *said, state.clock()))
        except RefusedError as fault:
            flash(str(fault), "caution")
    return redirect(Room("one_session", {"secret": secret}).address("see"))


@pages.get("/<secret>/map/<int:number>.png")
@by_address
def area_map(secret: str, number: int) -> BaseResponse:
    """Send the map of the session."""
    return send_area_map(_way(secret, number), number)


@pages.get("/<secret>/fit/<int:number>/<name>.png")
@by_address
def fit_picture(secret: str, number: int, name: str) -> BaseResponse:
    """Send one of the drawings of what fits, for the numbers in the address."""
    return send_fit_picture(_way(secret, number), number, name)


@pages.get("/<secret>/fits.json")
@by_address
def kept_fits(secret: str) -> BaseResponse:
    """Send answers for a number of players, for a browser to keep."""
    day = _passed(secret, None).day
    return send_kept_fits(_way(secret), Room("one_session", {"secret": secret}), day)


def _way(secret: str, number: int | None = None) -> OneSession:
    """Return the session that an address opens.

    Raises:
        MissingError: If it opens none (any more), or not the one of that number.
    """
    passed = _passed(secret, number)
    if passed.way is None:
        raise MissingError(ended_words(passed) if passed.is_ended else _("This session is off."))
    return passed.way


def _passed(secret: str, number: int | None) -> PassedSession:
    state = app_state()
    passed = see_passed_session(state.store, secret, state.clock())
    if number is not None and passed.way is not None and passed.way.number != number:
        raise MissingError(_("This address is about another session."))
    return passed
