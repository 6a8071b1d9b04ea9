"""What a form asks for is done once, however often its button is pressed."""

from __future__ import annotations

import logging
import secrets
import time
from typing import TYPE_CHECKING

from flask import flash, g, redirect, request

from clubplanner.errors import OutdatedError, StoreError
from clubplanner.language import _
from clubplanner.services.people.sent_forms import (
    Sent,
    claim_form,
    find_answer,
    note_answer,
    release_form,
)
from clubplanner.store.claims import FormClaim
from clubplanner.webapp.base.programs import is_for_programs
from clubplanner.webapp.base.state import app_state

if TYPE_CHECKING:
    from flask import Flask, Response
    from werkzeug.wrappers import Response as BaseResponse

LOG = logging.getLogger("clubplanner.webapp")

FIELD = "once"
WAIT_SECONDS = 10.0
"""How long a second press waits for the answer to the first."""
LOOK_SECONDS = 0.05
ANSWER = "claim_answer"
"""Where a view leaves what is noted as the answer, if it is not where the answer leads."""


def register(app: Flask) -> None:
    """Add the check to an app, and the token to what templates may call."""
    app.add_template_global(new_token, "once_token")
    app.before_request(_hold_repeats)
    app.after_request(_note)


def let_go() -> None:
    """Let the form that was sent be sent again: it asked for a look alone."""
    claim = g.pop("claim", None)
    if claim is not None:
        release_form(app_state().store, claim)


def new_token() -> str:
    """Return a token for one showing of a form."""
    return secrets.token_urlsafe(16)


def _hold_repeats() -> BaseResponse | None:
    is_work = request.method == "POST" and request.endpoint is not None and not is_for_programs()
    token = request.form.get(FIELD, "") if is_work else ""
    if not token:
        return None
    found = claim_or_wait(token)
    if isinstance(found, FormClaim):
        g.claim = found
        return None
    if found.answer:
        flash(_("This form had been sent already; it was done once."))
        return redirect(found.answer)
    raise OutdatedError(_what_became(found))


def claim_or_wait(token: str) -> FormClaim | Sent:
    """Claim what bears a token; where it came before, wait a while for its answer."""
    state = app_state()
    found = claim_form(state.store, token, state.clock())
    until = time.monotonic() + WAIT_SECONDS
    while isinstance(found, Sent) and found.answer is None and time.monotonic() < until:
        time.sleep(LOOK_SECONDS)
        found = _look_again(token)
    return found


def _look_again(token: str) -> FormClaim | Sent:
    """Return what became of a form by now; claim it if it was released or lost."""
    state = app_state()
    found = find_answer(state.store, token)
    if found is not None and (found.answer is not None or found.has_begun):
        return found
    return claim_form(state.store, token, state.clock())


def _what_became(sent: Sent) -> str:
    if not sent.has_begun:
        return _("This form is still at work; wait a moment, then open the page again.")
    if sent.answer is None:
        return _(
            "This form has been sent already, but the planner stopped before it could answer. "
            "Open the page again to see what was done; nothing was done a second time."
        )
    return _(
        "This form has been sent already; nothing was done a second time. Open the "
        "page again to see what stands."
    )


def _note(response: Response) -> Response:
    claim = g.pop("claim", None)
    answer = g.pop(ANSWER, response.headers.get("Location", ""))
    if claim is not None:
        store = app_state().store
        try:
            if response.status_code < 400:
                note_answer(store, claim, answer)
            else:
                release_form(store, claim, even_begun=response.status_code < 500)
        except StoreError:  # the work is done or left all the same, and the claim tells which
            LOG.warning("what became of a form cannot be noted", exc_info=True)
    return response
