"""Who may open what, and the headers on every answer.

Each view is marked with those it is for; an app with an unmarked view is not made. One check
before every request holds people to the marks, so no view can forget it.
"""

from __future__ import annotations

import logging
from typing import TYPE_CHECKING, TypeVar

from flask import abort, current_app, g, redirect, request, session, url_for

from clubplanner.domain.club.people import Person, Role
from clubplanner.errors import StoreError
from clubplanner.services.people.ways_in.browsers import (
    find_person,
    find_signed_in,
    renew_browser,
    unused_days,
)
from clubplanner.services.people.ways_in.known_browsers import add_mark
from clubplanner.services.rows.club.club import club_name
from clubplanner.webapp.base.programs import asking_program, is_for_programs
from clubplanner.webapp.base.state import act_as, app_state
from clubplanner.webapp.base.under_path import cookie_name, cookie_path, whole_path

if TYPE_CHECKING:
    from collections.abc import Callable

    from flask import Flask, Response
    from werkzeug.wrappers import Response as BaseResponse

_View = TypeVar("_View", bound="Callable[..., object]")

HTTPS_ONLY = "max-age=31536000"
"""RFC 6797, a year; sent where the host is ours alone: it holds for all that a host serves."""
HEADERS = {
    "Content-Security-Policy": (
        "default-src 'none'; img-src 'self' data:; style-src 'self'; script-src 'self'; "
        "font-src 'self'; connect-src 'self'; worker-src 'self'; manifest-src 'self'; "
        "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
    ),
    "Referrer-Policy": "no-referrer",
    "X-Content-Type-Options": "nosniff",
    "X-Robots-Tag": "noindex, nofollow",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Permissions-Policy": "geolocation=(), camera=(), microphone=()",
}
"""No page of a club is for search engines, frames or other sites; addresses may be secret, so no
other site is told where a person came from."""

LOG = logging.getLogger("clubplanner.webapp")

SECRET, KNOWN = "person", "known"
"""Names of the cookies that keep a browser's secret, and the marks of who used it before."""
MARK = "opens_to"
ANYBODY: frozenset[Role] = frozenset()
"""The mark of pages that need nobody signed in: the front door, and what a secret address opens."""
KNOWN_DAYS = 400
"""How long a browser keeps who used it before; browsers keep no cookie longer (RFC 6265bis)."""
FREE_ENDPOINTS = frozenset({"static"})


def for_roles(*roles: Role) -> Callable[[_View], _View]:
    """Mark a view as one that only these roles may open."""

    def mark(view: _View) -> _View:
        setattr(view, MARK, frozenset(roles))
        return view

    return mark


for_secretary = for_roles(Role.SECRETARY)
for_squads = for_roles(Role.SECRETARY, Role.CLUB_SECRETARY)
"""What concerns squads: the services let the secretary of a club see and change only theirs."""
for_signed_in = for_roles(*Role)
for_coach = for_roles(Role.SECRETARY, Role.CLUB_SECRETARY, Role.COACH)
for_grounds = for_roles(Role.SECRETARY, Role.GROUNDSKEEPER)
for_ground_seen = for_roles(Role.SECRETARY, Role.CLUB_SECRETARY, Role.GROUNDSKEEPER)
"""Who has which ground is no secret between clubs: it stands on the plans."""


def for_anybody(view: _View) -> _View:
    """Mark a view as one that needs nobody signed in."""
    setattr(view, MARK, ANYBODY)
    return view


by_address = for_anybody
"""Mark a view whose unguessable address is the key: the service behind it checks the secret."""


def roles_of(app: Flask, endpoint: str) -> frozenset[Role]:
    """Return who may open an endpoint; `ANYBODY` for all.

    Raises:
        TypeError: If its view bears no mark.
    """
    roles = getattr(app.view_functions[endpoint], MARK, None)
    if roles is None:
        raise TypeError(
            f"The view {endpoint} does not say whom it is for: mark it with for_roles, "
            "for_anybody or by_address of clubplanner.webapp.base.security."
        )
    return frozenset(roles)


def require_marks(app: Flask) -> None:
    """Refuse an app with a view that does not say whom it is for.

    Raises:
        TypeError: Naming the view.
    """
    for endpoint in app.view_functions:
        if endpoint not in FREE_ENDPOINTS:
            roles_of(app, endpoint)


def may_open(person: Person | None, endpoint: str) -> bool:
    """Tell whether somebody may open an endpoint of the present app."""
    roles = roles_of(current_app, endpoint)
    return roles == ANYBODY or (person is not None and person.role in roles)


def register(app: Flask) -> None:
    """Add the check and the headers to an app."""
    app.before_request(_let_in)
    app.after_request(_renew)

    headers = dict(HEADERS)
    if app.config["SESSION_COOKIE_SECURE"] and app.config["APPLICATION_ROOT"] == "/":
        headers["Strict-Transport-Security"] = HTTPS_ONLY

    @app.after_request
    def add_headers(response: Response) -> Response:
        for name, value in headers.items():
            response.headers.setdefault(name, value)
        if request.endpoint != "static":
            response.headers.setdefault("Cache-Control", "private, no-store")
        return response

    @app.context_processor
    def who_is_looking() -> dict[str, object]:
        person = current_person()
        return {
            "person": person,
            "is_secretary": person is not None and person.is_secretary,
            "club_name": club_name(app_state().store),
        }


def _let_in() -> BaseResponse | None:
    endpoint = request.endpoint
    if endpoint is None or endpoint in FREE_ENDPOINTS or may_open(current_person(), endpoint):
        return None
    if is_for_programs():
        return abort(401 if current_person() is None else 403)
    return keep_out(current_person())


def keep_out(person: Person | None) -> BaseResponse:
    """Lead a stranger to sign in; whoever is signed in is told that the page is not for them.

    Raises:
        Forbidden: If somebody is signed in.
    """
    if person is None:
        return redirect(url_for("entry.sign_in", then=_then()))
    return abort(403)


def _then() -> str | None:
    """Return where to go after signing in: the page asked for, if it was only looked at."""
    return whole_path() if request.method == "GET" else None


def current_person() -> Person | None:
    """Return who asks: who is signed in with this browser, or whose token a program bears.

    None for nobody; looked up once a request.
    """
    if "person" not in g and is_for_programs():
        bearer = asking_program()
        g.person = None if bearer is None else bearer.person
        if bearer is not None:
            act_as(bearer.person.name, bearer.person.scope)
    if "person" not in g:
        state = app_state()
        found = find_signed_in(state.store, browser_secret(), state.clock())
        g.person = None if found is None else found.person
        g.is_due = found is not None and found.is_due
        if g.person is not None:
            act_as(g.person.name, None if _has_key_of_its_own() else g.person.scope)
    person = g.person
    return person if isinstance(person, Person) else None


def _has_key_of_its_own() -> bool:
    """Tell whether an address opens this page to anybody: then who is signed in limits nothing."""
    endpoint = request.endpoint
    is_marked = endpoint is not None and endpoint not in FREE_ENDPOINTS
    return is_marked and roles_of(current_app, endpoint or "") == ANYBODY


def signed_in_person() -> Person:
    """Return who is signed in, on pages that only they can open.

    Raises:
        Forbidden: If nobody is.
    """
    return current_person() or abort(403)


def signed_in() -> bool:
    """Tell whether this browser belongs to a signed-in secretary."""
    person = current_person()
    return person is not None and person.is_secretary


def home_endpoint(person: Person) -> str:
    """Return the page somebody starts on."""
    return "coach.home" if person.role is Role.COACH else "desk.evening"


def browser_secret() -> str:
    """Return this browser's secret; blank when it has none."""
    return request.cookies.get(cookie_name(SECRET), "")


def browser_marks() -> str:
    """Return what this browser keeps of who used it before; see `known_browsers`."""
    return request.cookies.get(cookie_name(KNOWN), "")


def keep_browser(response: BaseResponse, secret: str) -> None:
    """Let a browser keep its secret; a blank one takes it away. Its form tokens begin anew."""
    session.clear()
    _keep_signed_in(response, secret)


def _renew(response: Response) -> Response:
    """Let a sign-in last as long as it is used: once a day here and in the browser."""
    if g.pop("is_due", False):
        state = app_state()
        try:
            if renew_browser(state.store.claimed(None), browser_secret(), state.clock()):
                _keep_signed_in(response, browser_secret())
        except StoreError:  # what was asked for is done; the next page notes the use
            LOG.warning("the use of a browser cannot be noted", exc_info=True)
    return response


def _keep_signed_in(response: BaseResponse, secret: str) -> None:
    state = app_state()
    person = find_person(state.store, secret, state.clock())
    days = 0 if person is None else unused_days(person.role)
    _keep(response, cookie_name(SECRET), secret, days)
    if person is not None:
        g.came_in = person.number
        marks = add_mark(state.store, browser_marks(), person.number)
        _keep(response, cookie_name(KNOWN), marks, KNOWN_DAYS)


def _keep(response: BaseResponse, name: str, value: str, days: int) -> None:
    response.set_cookie(
        name,
        value,
        max_age=days * 86_400,
        secure=bool(current_app.config["SESSION_COOKIE_SECURE"]),
        httponly=True,
        samesite="Lax",
        path=cookie_path(),
    )
