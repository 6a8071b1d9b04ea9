"""What a form asks for is done once, however often its button is pressed."""

from __future__ import annotations

import secrets
import time
from typing import TYPE_CHECKING

from flask import flash, g, redirect, request

from clubplanner.errors import OutdatedError
from clubplanner.language import _
from clubplanner.services.sent_forms import claim_form, find_answer, note_answer, release_form
from clubplanner.webapp.state import app_state

if TYPE_CHECKING:
    from flask import Flask, Response
    from werkzeug.wrappers import Response as BaseResponse

FIELD = "once"
WAIT_SECONDS = 10.0
"""How long a second press waits for the answer to the first."""
LOOK_SECONDS = 0.05


def register(app: Flask) -> None:
    """Add the check to an app, and the token to what templates may call."""
    app.add_template_global(new_token, "once_token")
    app.before_request(_hold_repeats)
    app.after_request(_note)


def new_token() -> str:
    """Return a token for one showing of a form."""
    return secrets.token_urlsafe(16)


def _hold_repeats() -> BaseResponse | None:
    token = request.form.get(FIELD, "") if request.method == "POST" else ""
    if not token:
        return None
    state = app_state()
    sent = claim_form(state.store, token, state.clock())
    until = time.monotonic() + WAIT_SECONDS
    while sent is not None and sent.answer is None and time.monotonic() < until:
        time.sleep(LOOK_SECONDS)
        sent = find_answer(state.store, token) or claim_form(state.store, token, state.clock())
    if sent is None:
        g.once = token
        return None
    if sent.answer:
        flash(_("This form had been sent already; it was done once."))
        return redirect(sent.answer)
    raise OutdatedError(
        _(
            "This form has been sent already; nothing was done a second time. Open the "
            "page again to see what stands."
        )
    )


def _note(response: Response) -> Response:
    token = g.pop("once", "")
    if token:
        store = app_state().store
        if response.status_code < 400:
            note_answer(store, token, response.headers.get("Location", ""))
        else:
            release_form(store, token)
    return response
