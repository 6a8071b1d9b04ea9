"""After a change the next page offers to take it back; nothing asks "are you sure" before it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import request, session

from clubplanner.errors import StoreError
from clubplanner.services.journal.changes import can_take_back
from clubplanner.services.journal.own_changes import Asker
from clubplanner.webapp.base.programs import is_for_programs
from clubplanner.webapp.base.security import current_person, signed_in_person
from clubplanner.webapp.base.state import app_state, made_changes

if TYPE_CHECKING:
    from flask import Flask, Response

KEY = "take_back"
OWN = "own_change"
"""What this browser's person did last: the person's number and the change's. The cookie that
holds it is signed, and emptied when somebody else signs in."""


def register(app: Flask) -> None:
    """Look at the changes of every request, and let templates offer to take one back."""
    app.after_request(_offer)
    app.add_template_global(_pop, "change_to_take_back")


def asker() -> Asker:
    """Return who wants to take something back, and what they did last with this browser.

    Raises:
        Forbidden: If nobody is signed in.
    """
    person = signed_in_person()
    whose, number = session.get(OWN, (None, None))
    return Asker(person, number if whose == person.number else None)


def _offer(response: Response) -> Response:
    """Remember the change that somebody just made, if they can take it back."""
    made = made_changes() if request.method == "POST" and not is_for_programs() else []
    person = current_person() if made and response.status_code < 400 else None
    if person is not None:
        session.pop(KEY, None)
        session.pop(OWN, None)
        if len(made) == 1:
            session[OWN] = [person.number, made[0]]
            if _can_be_taken_back(made[0]):
                session[KEY] = made[0]
    return response


def _can_be_taken_back(number: int) -> bool:
    state = app_state()
    try:
        return can_take_back(state.store, number, state.clock(), asker())
    except StoreError:  # the change itself is done; only the offer is left out
        return False


def _pop() -> int | None:
    """Return the number of the change, the first time a page asks for it."""
    number = session.pop(KEY, None) if KEY in session else None
    return number if isinstance(number, int) else None
