"""After a change the next page says who knows of it, and whom to ring."""

from __future__ import annotations

import logging
from typing import TYPE_CHECKING

from flask import request, session

from clubplanner.domain.club.people import Role
from clubplanner.errors import StoreError
from clubplanner.services.addresses.looks import note_look
from clubplanner.services.mails.knowing import who_knows_of_changes
from clubplanner.services.mails.untold import see_untold
from clubplanner.webapp.base.programs import is_for_programs
from clubplanner.webapp.base.security import current_person
from clubplanner.webapp.base.state import app_state, made_changes

if TYPE_CHECKING:
    from flask import Flask, Response

    from clubplanner.services.mails.knowing import Knowing
    from clubplanner.services.mails.untold import Untold

LOG = logging.getLogger("clubplanner.webapp")

KEY = "who_knows"
MOST_CHANGES = 20
"""Changes of one press that are remembered until the next page: they lie in a cookie."""


def register(app: Flask) -> None:
    """Look at the changes of every request, and let templates say who knows of them."""
    app.after_request(_remember)
    app.add_template_global(_pop, "who_knows_now")
    app.add_template_global(_untold, "untold_now")


def note_had(looker: int | str, *, feed: bool = False) -> None:
    """Note that the person or address of this request gets their page, or their calendar."""
    state = app_state()
    try:
        note_look(state.store.claimed(None), looker, state.clock(), feed=feed)
    except StoreError:  # whoever asked gets it all the same
        LOG.warning("a look at a page or calendar cannot be noted", exc_info=True)


def _remember(response: Response) -> Response:
    made = made_changes() if request.method == "POST" and not is_for_programs() else []
    person = current_person() if made else None
    if person is not None and person.role is not Role.COACH and response.status_code < 400:
        session[KEY] = made[-MOST_CHANGES:]
    return response


def _pop() -> Knowing | None:
    """Return who knows of what was just changed, the first time a page asks for it."""
    numbers = session.pop(KEY, None) if KEY in session else None
    if not isinstance(numbers, list) or current_person() is None:
        return None
    state = app_state()
    return who_knows_of_changes(state.store, state.config, numbers, state.clock())


def _untold() -> Untold:
    """Return what stands on the secretary's first page until it is seen to."""
    state = app_state()
    return see_untold(state.store, state.config, state.clock())
