"""How many calls a token may make within a while, whatever they are."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.errors import TooManyError
from clubplanner.webapp.base.programs import asking_program, is_for_programs
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.serving.limits import Counter

if TYPE_CHECKING:
    from flask import Flask

MOST_CALLS = 3_000
"""Within five minutes, ten a second: a program that follows asks once a minute."""


def register(app: Flask) -> None:
    """Add the limit to an app."""
    calls = Counter(MOST_CALLS, "calls")

    @app.before_request
    def hold_back() -> None:
        bearer = asking_program() if is_for_programs() else None
        if bearer is None:
            return
        at_s = app_state().clock().timestamp()
        key = f"token {bearer.number}"
        wait_s = calls.wait_s(key, at_s)
        if wait_s:
            raise TooManyError(wait_s)
        if calls.count(key, at_s):
            calls.share(key, at_s)
