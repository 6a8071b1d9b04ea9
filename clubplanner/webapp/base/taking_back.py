"""After a change the next page offers to take it back; nothing asks "are you sure" before it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import request, session

from clubplanner.errors import StoreError
from clubplanner.services.journal.changes import can_take_back
from clubplanner.webapp.base.security import signed_in
from clubplanner.webapp.base.state import app_state, made_changes

if TYPE_CHECKING:
    from flask import Flask, Response

KEY = "take_back"


def register(app: Flask) -> None:
    """Look at the changes of every request, and let templates offer to take one back."""
    app.after_request(_offer)
    app.add_template_global(_pop, "change_to_take_back")


def _offer(response: Response) -> Response:
    """Remember the change that a secretary just made, if it can be taken back."""
    made = made_changes() if request.method == "POST" else []
    if made and response.status_code < 400 and signed_in():
        session.pop(KEY, None)
        if len(made) == 1 and _can_be_taken_back(made[0]):
            session[KEY] = made[0]
    return response


def _can_be_taken_back(number: int) -> bool:
    state = app_state()
    try:
        return can_take_back(state.store, number, state.clock())
    except StoreError:  # the change itself is done; only the offer is left out
        return False


def _pop() -> int | None:
    """Return the number of the change, the first time a page asks for it."""
    number = session.pop(KEY, None) if KEY in session else None
    return number if isinstance(number, int) else None
