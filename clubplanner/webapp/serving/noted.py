"""What concerns who may come in is written down: who came, who was refused, what was tried.

One entry each at the logger "clubplanner.security": what happened, at which route, from which
machine, and the number of the person who is signed in. Never a name, an address with a secret, or
what was typed. What is refused is a warning; the rest is at level "info".
"""

from __future__ import annotations

import logging
from typing import TYPE_CHECKING

from flask import g, request

from clubplanner.domain.club.people import Person
from clubplanner.logs import FIELDS
from clubplanner.webapp.serving.limits import machine_address

if TYPE_CHECKING:
    from flask import Flask, Response

SECURITY = logging.getLogger("clubplanner.security")

DONE = {
    "entry.use_password": "signed in by password",
    "entry.let_in": "signed in by an address",
    "entry.use_key": "password set by an address",
    "entry.ask": "asked to be let in",
    "entry.sign_out": "signed out",
    "me.password": "password changed",
    "me.end_one": "browser signed out",
    "me.end_others": "other browsers signed out",
    "people.add": "person added",
    "people.change": "person changed",
    "people.end": "access ended",
    "people.hand_over": "sign-in address made",
    "people.answer": "request to sign in answered",
    "people.end_one": "browser of somebody signed out",
    "programs.hand_out": "token made",
    "programs.withdraw_own": "token withdrawn",
    "programs.withdraw_of": "token of somebody withdrawn",
    "people.end_all": "browsers of somebody signed out",
}
"""What a form did that was taken, by view."""
FAILED = {
    "entry.use_password": "sign-in failed",
    "entry.let_in": "sign-in address not taken",
    "entry.use_key": "password not set",
    "me.password": "password not changed",
}
"""What a form tried that was not taken, by view."""
REFUSED = {401: "token not taken", 403: "page refused", 429: "held up"}
"""What is refused wherever it happens, by status."""
FORGED = "form without its token"
"""Somebody else's page may have sent it; see `webapp.base.faults`."""


def register(app: Flask) -> None:
    """Let an app write down what concerns who may come in."""
    app.after_request(_note)


def _note(response: Response) -> Response:
    status = response.status_code
    if g.get("is_forged"):
        _write(FORGED, status, logging.WARNING)
    elif status in REFUSED:
        _write(REFUSED[status], status, logging.WARNING)
    elif request.method == "POST":
        told = (DONE if status < 400 else FAILED).get(request.endpoint or "")
        if told is not None:
            _write(told, status, logging.INFO if status < 400 else logging.WARNING)
    return response


def _write(event: str, status: int, level: int) -> None:
    person = g.get("person")
    number = g.get("came_in", person.number if isinstance(person, Person) else None)
    fields = {
        "event": event,
        "method": request.method,
        "route": request.url_rule.rule if request.url_rule else "none",
        "status": status,
        "machine": machine_address(),
        "person": number,
    }
    SECURITY.log(
        level, "%(event)s: %(method)s %(route)s %(status)s", fields, extra={FIELDS: fields}
    )
