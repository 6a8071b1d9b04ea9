"""Webhooks: made, listed, tried, ended, let go on, and their secrets exchanged."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, flash, make_response, redirect, render_template, request, url_for

from clubplanner.errors import RefusedError
from clubplanner.language import _
from clubplanner.services.calendars.fetching import URL_LIMIT
from clubplanner.services.webhooks.delivering import post_within
from clubplanner.services.webhooks.sending import Fate
from clubplanner.services.webhooks.webhooks import (
    LONGEST_NAME,
    add_webhook,
    end_webhook,
    exchange_secret,
    go_on_with_webhook,
    has_ended_webhooks,
    list_webhooks,
    see_webhook,
    trial_in_words,
    try_webhook,
)
from clubplanner.webapp.base.forms import Form
from clubplanner.webapp.base.security import for_secretary
from clubplanner.webapp.base.state import app_state

if TYPE_CHECKING:
    from flask import Flask
    from werkzeug.wrappers import Response as BaseResponse

pages = Blueprint("webhooks", __name__, url_prefix="/desk/webhooks")


def register(app: Flask) -> None:
    """Let the secretary's first page say that one has ended by itself."""
    app.add_template_global(lambda: has_ended_webhooks(app_state().store), "webhooks_ended")


@pages.get("")
@for_secretary
def listing() -> BaseResponse:
    """List the webhooks, and the form for a new one."""
    return _list_page(Form(request.args), 200)


@pages.post("")
@for_secretary
def add() -> str | BaseResponse:
    """Make a webhook; with what its messages are signed is shown once."""
    state = app_state()
    form = Form(request.form)
    name = form.text("name", LONGEST_NAME)
    if not name:
        form.fault("name", _("Enter what it is for."))
    url = form.text("url", URL_LIMIT)
    if not url:
        form.fault("url", _("Enter where messages go."))
    if not form.problems:
        try:
            made = add_webhook(state.store, name, url, state.config, state.clock())
        except RefusedError as fault:
            form.fault("url", str(fault))
        else:
            return render_template("webhooks/made.html", made=made)
    return _list_page(form, 422)


@pages.get("/<int:number>")
@for_secretary
def webhook(number: int) -> str:
    """Show one webhook with its newest messages."""
    state = app_state()
    page = see_webhook(state.store, number, state.clock())
    return render_template("webhooks/webhook.html", page=page)


@pages.post("/<int:number>/try")
@for_secretary
def attempt(number: int) -> BaseResponse:
    """Send a message that says nothing, and tell what became of it."""
    state = app_state()
    answer = try_webhook(state.store, number, state.clock(), post_within(state.config))
    flash(trial_in_words(answer), "message" if answer.fate is Fate.TAKEN else "caution")
    return redirect(url_for("webhooks.webhook", number=number))


@pages.post("/<int:number>/exchange")
@for_secretary
def exchange(number: int) -> str:
    """Sign with another secret, which is shown once."""
    state = app_state()
    made = exchange_secret(state.store, number, state.clock())
    return render_template("webhooks/made.html", made=made)


@pages.post("/<int:number>/end")
@for_secretary
def end(number: int) -> BaseResponse:
    """Tell another program nothing more."""
    state = app_state()
    name = end_webhook(state.store, number, state.clock())
    flash(_("Nothing more is sent to %(name)s.", name=name))
    return redirect(url_for("webhooks.listing"))


@pages.post("/<int:number>/go-on")
@for_secretary
def go_on(number: int) -> BaseResponse:
    """Let a webhook go on from where it stopped."""
    state = app_state()
    name = go_on_with_webhook(state.store, number, state.clock())
    flash(_("%(name)s is told again what changes, from where it stopped.", name=name))
    return redirect(url_for("webhooks.webhook", number=number))


def _list_page(form: Form, status: int) -> BaseResponse:
    html = render_template(
        "webhooks/list.html",
        lines=list_webhooks(app_state().store),
        values=form.values,
        problems=form.problems,
    )
    return make_response(html, status)
