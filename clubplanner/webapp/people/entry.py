"""The front door: what this is, and everybody's way in and out."""

from __future__ import annotations

import threading
from typing import TYPE_CHECKING

from flask import (
    Blueprint,
    make_response,
    redirect,
    render_template,
    request,
    session,
    url_for,
)

from clubplanner.errors import FaultyInputError, RefusedError, TooManyError
from clubplanner.language import _
from clubplanner.services.mails.sending.sign_in_mail import mail_sign_in_address
from clubplanner.services.people.drafts import LONGEST_EMAIL, LONGEST_NAME
from clubplanner.services.people.ways_in.browsers import sign_out as end_browser
from clubplanner.services.people.ways_in.passwords import (
    see_secretary_key,
    set_password,
    sign_in_with_password,
)
from clubplanner.services.people.ways_in.sign_in_links import (
    ASKED_MINUTES,
    ask_to_sign_in,
    see_link,
    use_link,
)
from clubplanner.webapp.base.forms import Form, own_path
from clubplanner.webapp.base.security import (
    browser_marks,
    browser_secret,
    current_person,
    for_anybody,
    home_endpoint,
    keep_browser,
)
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.serving.browser_words import browser_in_words
from clubplanner.webapp.serving.limits import machine_address
from clubplanner.webapp.serving.static_files import send_file, static_files
from clubplanner.webapp.setup.first_steps import steps_left

if TYPE_CHECKING:
    from werkzeug.wrappers import Response as BaseResponse

pages = Blueprint("entry", __name__)

ASKED = "asked"
"""Where a browser's form session keeps what it was told when it asked to be let in."""


@pages.get("/")
@for_anybody
def welcome() -> str | BaseResponse:
    """Send whoever is signed in to their page; tell others how to get in."""
    person = current_person()
    if person is not None:
        if steps_left() is not None:
            return redirect(url_for("desk.first_steps"))
        return redirect(url_for(home_endpoint(person)))
    return render_template("people/welcome.html")


@pages.get("/sign-in")
@for_anybody
def sign_in() -> str | BaseResponse:
    """Show the two ways in: asking to be let in, and the secretary's password."""
    if current_person() is not None:
        return redirect(_after(request.args.get("then", "")))
    return _sign_in_page(Form({}))


@pages.post("/sign-in")
@for_anybody
def use_password() -> str | BaseResponse:
    """Sign a secretary in."""
    state = app_state()
    form = Form(request.form)
    login, password = form.text("login"), form.values.get("password", "")
    if not login:
        form.fault("login", _("Enter your name or e-mail address."))
    if not password:
        form.fault("password", _("Enter your password."))
    if not form.problems:
        try:
            secret = sign_in_with_password(
                state.store,
                login,
                password,
                machine_address(),
                _about(),
                state.clock(),
                browser_marks(),
            )
        except RefusedError as fault:
            form.fault("login", str(fault))
        except TooManyError as fault:
            return _held_up(form, fault)
        else:
            return _let_in(secret, form.text("then"))
    return make_response(_sign_in_page(form), 422)


@pages.post("/sign-in/ask")
@for_anybody
def ask() -> str | BaseResponse:
    """Ask to be let in; what follows is the same whether the name is known or not."""
    state = app_state()
    form = Form(request.form)
    login = form.text("who", LONGEST_EMAIL)
    if not login:
        form.fault("who", _("Enter your name or e-mail address."))
    if form.problems:
        return make_response(_sign_in_page(form), 422)
    asked = ask_to_sign_in(
        state.store, login, machine_address(), _about(), state.clock(), browser_marks()
    )
    session[ASKED] = {"code": asked.code, "secret": asked.secret}
    if state.config.mail_server is not None:  # apart, so that a known name answers no later
        job = (state.store, state.config, asked.secret, state.clock())
        threading.Thread(target=mail_sign_in_address, args=job, daemon=True).start()
    return redirect(url_for("entry.waiting"))


@pages.get("/sign-in/waiting")
@for_anybody
def waiting() -> str | BaseResponse:
    """Show the digits by which the secretary knows who asked."""
    asked = session.get(ASKED)
    if current_person() is not None or not isinstance(asked, dict):
        return redirect(url_for("entry.sign_in"))
    return render_template(
        "people/waiting.html",
        code=asked.get("code", ""),
        minutes=ASKED_MINUTES,
        sends_mail=app_state().config.mail_server is not None,
    )


@pages.get("/let-in/<key>")
@for_anybody
def link(key: str) -> str | BaseResponse:
    """Show the button that uses up a one-time address: looking at the address changes nothing."""
    person = current_person()
    if person is not None:
        return redirect(url_for(home_endpoint(person)))
    state = app_state()
    name = see_link(state.store, key, _asked_secret(), state.clock())
    return render_template("people/let_in.html", key=key, name=name)


@pages.post("/let-in/<key>")
@for_anybody
def let_in(key: str) -> BaseResponse:
    """Use up a one-time address and sign the browser in."""
    state = app_state()
    return _let_in(use_link(state.store, key, _asked_secret(), _about(), state.clock()), "")


@pages.get("/secretary/<key>")
@for_anybody
def secretary_key(key: str) -> str | BaseResponse:
    """Show the form that sets the secretary's password: looking at the address changes nothing."""
    person = current_person()
    if person is not None:
        return redirect(url_for(home_endpoint(person)))
    return _key_page(key, Form({}))


@pages.post("/secretary/<key>")
@for_anybody
def use_key(key: str) -> str | BaseResponse:
    """Set the secretary's password and sign the browser in."""
    state = app_state()
    form = Form(request.form)
    name, email = form.text("name", LONGEST_NAME), form.text("email", LONGEST_EMAIL)
    password = form.values.get("password", "")
    if not form.problems:
        try:
            secret = set_password(state.store, key, name, email, password, _about(), state.clock())
        except FaultyInputError as fault:
            form.problems.extend(fault.problems)
        else:
            return _let_in(secret, "")
    return make_response(_key_page(key, form), 422)


@pages.post("/sign-out")
@for_anybody
def sign_out() -> BaseResponse:
    """End this browser's sign-in, at the server too."""
    end_browser(app_state().store, browser_secret())
    response = redirect(url_for("entry.welcome"))
    keep_browser(response, "")
    if not request.root_path:  # else what neighbours on the host keep would go, too
        response.headers["Clear-Site-Data"] = '"storage"'
    return response


@pages.get("/no-signal")
@for_anybody
def no_signal() -> str:
    """Show what the script that keeps pages shows in place of one that it did not keep."""
    return render_template("no_signal.html")


@pages.get("/service-worker.js")
@for_anybody
def service_worker() -> BaseResponse:
    """Send the script that keeps pages for when there is no signal; the root gives it reach."""
    files = static_files()
    file = files.files["js/service_worker.js"]
    own = file.data.replace(b'"/static"', f'"{request.root_path}{files.address}"'.encode(), 1)
    return send_file(file, "no-cache", own)


def _let_in(secret: str, then: str) -> BaseResponse:
    response = redirect(_after(then))
    keep_browser(response, secret)
    return response


def _held_up(form: Form, fault: TooManyError) -> BaseResponse:
    """Show the form again with how long to wait, and which ways in are not held up."""
    form.fault("login", str(fault))
    form.fault(
        "password",
        _(
            "A browser in which you have signed in before is not held up by what others try; an "
            "address printed with “clubplanner people let-in” lets you in at once."
        ),
    )
    response = make_response(_sign_in_page(form), 429)
    response.headers["Retry-After"] = str(fault.seconds)  # RFC 6585, section 4
    return response


def _after(then: str) -> str:
    """Return where to go after signing in: only to a page of ours."""
    return own_path(then) or url_for("entry.welcome")


def _asked_secret() -> str:
    asked = session.get(ASKED)
    return str(asked.get("secret", "")) if isinstance(asked, dict) else ""


def _about() -> str:
    return browser_in_words(request.headers.get("User-Agent", ""))


def _sign_in_page(form: Form) -> str:
    then = request.values.get("then", "")
    return render_template(
        "people/sign_in.html", values=form.values, problems=form.problems, then=then
    )


def _key_page(key: str, form: Form) -> str:
    state = app_state()
    shown = see_secretary_key(state.store, key, state.clock())
    values = {"name": shown.name, "email": shown.email, **form.values}
    return render_template(
        "people/set_password.html", key=key, shown=shown, values=values, problems=form.problems
    )
