"""Switching notices to a phone on and off, behind an address or by whoever is signed in.

Only a browser that asked its owner sends these forms: the script on the page fills them in with
what the browser says of itself. Without the script their buttons are not shown.
"""

from __future__ import annotations

import logging
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from flask import Blueprint, flash, redirect, request, url_for

from clubplanner.domain.club.people import Role
from clubplanner.errors import MissingError, StoreError
from clubplanner.language import _
from clubplanner.services.pushes.club_key import load_club_key
from clubplanner.services.pushes.readers import (
    ReaderWish,
    SignedInBrowser,
    see_telling,
    stop_telling,
    tell_browser,
)
from clubplanner.webapp.base.security import (
    browser_secret,
    by_address,
    current_person,
    for_coach,
)
from clubplanner.webapp.base.state import app_state

if TYPE_CHECKING:
    from flask import Flask
    from werkzeug.wrappers import Response as BaseResponse

LOG = logging.getLogger("clubplanner.webapp")

pages = Blueprint("pushes", __name__)


@dataclass(frozen=True, slots=True)
class PhoneNotices:
    """What a page needs to offer notices to the phone that shows it.

    Attributes:
        key: The club's public key, base64url.
        place: What the page is called in notices; blank for a coach's own.
        marks: The browsers that are told, as they find themselves.
        switch_on: Where the form goes that switches them on.
        switch_off: The same for off.
    """

    key: str
    place: str
    marks: tuple[str, ...]
    switch_on: str
    switch_off: str


def register(app: Flask) -> None:
    """Let pages offer notices."""
    app.add_template_global(phone_notices)


def phone_notices(secret: str = "") -> PhoneNotices | None:
    """Return what a page needs to offer notices; None where it cannot.

    Args:
        secret: Of the address that the page is behind; blank for a coach's own page.
    """
    state = app_state()
    person = current_person()
    if not secret and (person is None or person.role is not Role.COACH):
        return None
    way = secret or SignedInBrowser(browser_secret())
    try:
        telling = see_telling(state.store, way, state.clock())
        key = load_club_key(state.store, state.clock())
    except MissingError:  # behind a pitch's address nobody is told
        return None
    except StoreError:  # the page itself is worth more than this offer
        LOG.warning("notices to phones cannot be offered", exc_info=True)
        return None
    parts: dict[str, Any] = {"secret": secret} if secret else {}
    view = "pushes.at_address" if secret else "pushes.own"
    return PhoneNotices(
        key.public,
        telling.place,
        telling.marks,
        url_for(view, **parts),
        url_for(f"{view}_off", **parts),
    )


@pages.post("/tell/<secret>")
@by_address
def at_address(secret: str) -> BaseResponse:
    """Tell the browser that asks of what the address is about."""
    return _switch_on(secret, _page_of(secret))


@pages.post("/tell/<secret>/off")
@by_address
def at_address_off(secret: str) -> BaseResponse:
    """Tell the browser that asks no more of what the address is about."""
    return _switch_off(secret, _page_of(secret))


@pages.post("/coach/tell")
@for_coach
def own() -> BaseResponse:
    """Tell the coach's browser of the squads they look after."""
    return _switch_on(SignedInBrowser(browser_secret()), url_for("coach.calendar"))


@pages.post("/coach/tell/off")
@for_coach
def own_off() -> BaseResponse:
    """Tell the coach's browser no more."""
    return _switch_off(SignedInBrowser(browser_secret()), url_for("coach.calendar"))


def _switch_on(way: str | SignedInBrowser, page: str) -> BaseResponse:
    state = app_state()
    wish = ReaderWish(*(request.form.get(name, "") for name in ("endpoint", "p256dh", "auth")))
    tell_browser(state.store, way, wish, state.clock())
    flash(_("This phone is told when something changes within a day."))
    return redirect(page)


def _switch_off(way: str | SignedInBrowser, page: str) -> BaseResponse:
    state = app_state()
    stop_telling(state.store, way, request.form.get("endpoint", ""), state.clock())
    flash(_("This phone is told no more, and what was kept for it is gone."))
    return redirect(page)


def _page_of(secret: str) -> str:
    """Return the page that an address opens.

    Raises:
        MissingError: If the address is unknown or revoked.
    """
    state = app_state()
    return see_telling(state.store, secret, state.clock()).page + secret
