"""The front door: what this is, and the secretary's way in."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, redirect, render_template, url_for

from clubplanner.services.links import sign_in_secretary, sign_out_secretary
from clubplanner.webapp.security import browser_secret, keep_browser, signed_in
from clubplanner.webapp.state import app_state

if TYPE_CHECKING:
    from werkzeug.wrappers import Response as BaseResponse

pages = Blueprint("entry", __name__)


@pages.get("/")
def welcome() -> str | BaseResponse:
    """Send the secretary to the desk; tell others how to get in."""
    if signed_in():
        return redirect(url_for("desk.evening"))
    return render_template("entry/welcome.html")


@pages.get("/secretary/<key>")
def sign_in(key: str) -> str | BaseResponse:
    """Show the button that uses up a one-time key: looking at the address changes nothing."""
    if signed_in():
        return redirect(url_for("desk.evening"))
    return render_template("entry/sign_in.html", key=key)


@pages.post("/secretary/<key>")
def use_key(key: str) -> BaseResponse:
    """Sign a browser in."""
    state = app_state()
    secret = sign_in_secretary(state.store, key, state.clock())
    response = redirect(url_for("desk.evening"))
    keep_browser(response, secret)
    return response


@pages.post("/sign-out")
def sign_out() -> BaseResponse:
    """End this browser's sign-in."""
    state = app_state()
    sign_out_secretary(state.store, browser_secret(), state.clock())
    response = redirect(url_for("entry.welcome"))
    keep_browser(response, "")
    return response
