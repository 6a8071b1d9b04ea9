"""Headers on every answer, and who is signed in as the secretary."""

from __future__ import annotations

from functools import wraps
from typing import TYPE_CHECKING, ParamSpec

from flask import current_app, g, redirect, request, url_for

from clubplanner.services.club import club_name
from clubplanner.services.links import BROWSER_DAYS, is_secretary
from clubplanner.webapp.state import act_as, app_state

if TYPE_CHECKING:
    from collections.abc import Callable

    from flask import Flask, Response
    from werkzeug.wrappers import Response as BaseResponse

_Arguments = ParamSpec("_Arguments")

HEADERS = {
    "Content-Security-Policy": (
        "default-src 'none'; img-src 'self' data:; style-src 'self'; script-src 'self'; "
        "font-src 'self'; connect-src 'self'; form-action 'self'; base-uri 'none'; "
        "frame-ancestors 'none'"
    ),
    "Referrer-Policy": "no-referrer",
    "X-Content-Type-Options": "nosniff",
    "X-Robots-Tag": "noindex, nofollow",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Permissions-Policy": "geolocation=(), camera=(), microphone=()",
}
"""No page of a club is for search engines, frames or other sites; addresses may be secret, so no
other site is told where a person came from."""


def register(app: Flask) -> None:
    """Add the headers to every answer of an app."""

    @app.after_request
    def add_headers(response: Response) -> Response:
        for name, value in HEADERS.items():
            response.headers.setdefault(name, value)
        if request.endpoint != "static":
            response.headers.setdefault("Cache-Control", "private, no-store")
        return response

    @app.context_processor
    def who_is_looking() -> dict[str, object]:
        return {"is_secretary": signed_in(), "club_name": club_name(app_state().store)}


def signed_in() -> bool:
    """Tell whether this browser belongs to a signed-in secretary; asked once a request."""
    if "is_secretary" not in g:
        state = app_state()
        g.is_secretary = is_secretary(state.store, browser_secret(), state.clock())
    return bool(g.is_secretary)


def for_secretary(
    view: Callable[_Arguments, str | BaseResponse],
) -> Callable[_Arguments, str | BaseResponse]:
    """Let only a signed-in secretary through; others are shown how to sign in."""

    @wraps(view)
    def guarded(*args: _Arguments.args, **kwargs: _Arguments.kwargs) -> str | BaseResponse:
        if not signed_in():
            return redirect(url_for("entry.welcome"))
        act_as("the secretary")
        return view(*args, **kwargs)

    return guarded


def cookie_name() -> str:
    """Return the name of the cookie that keeps a browser's secret."""
    return "__Host-desk" if current_app.config["SESSION_COOKIE_SECURE"] else "desk"


def browser_secret() -> str:
    """Return this browser's secret; blank when it has none."""
    return request.cookies.get(cookie_name(), "")


def keep_browser(response: BaseResponse, secret: str) -> None:
    """Let a browser keep its secret; a blank one takes it away."""
    response.set_cookie(
        cookie_name(),
        secret,
        max_age=BROWSER_DAYS * 86_400 if secret else 0,
        secure=bool(current_app.config["SESSION_COOKIE_SECURE"]),
        httponly=True,
        samesite="Lax",
        path="/",
    )
