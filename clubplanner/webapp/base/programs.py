"""Other programs ask under `/api/`: they bear a token (RFC 6750), and no cookie counts there."""

from __future__ import annotations

import logging
from typing import TYPE_CHECKING

from flask import g, request

from clubplanner.errors import StoreError
from clubplanner.services.people.ways_in.tokens import Bearer, find_bearer, note_use
from clubplanner.webapp.base.state import app_state

if TYPE_CHECKING:
    from flask import Flask, Response

LOG = logging.getLogger("clubplanner.webapp")

ROOT = "/api"
ALL_PROGRAMS = "api"
"""The blueprint whose views are for programs alone."""
_BEARER = "bearer"


def is_for_programs() -> bool:
    """Tell whether the present request came to an address for programs, if only to a wrong one."""
    return request.path == ROOT or request.path.startswith(f"{ROOT}/")


def asking_program() -> Bearer | None:
    """Return whose token this request bears, None for nobody's; looked up once a request."""
    if _BEARER not in g:
        state = app_state()
        authorization = request.authorization
        is_bearer = authorization is not None and authorization.type == "bearer"
        token = authorization.token if is_bearer and authorization is not None else None
        setattr(g, _BEARER, find_bearer(state.store, token or "", state.clock()))
    found = getattr(g, _BEARER)
    return found if isinstance(found, Bearer) else None


def register(app: Flask) -> None:
    """Let an app note that tokens are used."""
    app.after_request(_note_use)


def _note_use(response: Response) -> Response:
    bearer = g.get(_BEARER)
    if isinstance(bearer, Bearer) and bearer.is_due:
        state = app_state()
        try:
            note_use(state.store.claimed(None), bearer.number, state.clock())
        except StoreError:  # what was asked for is done; the next request notes the use
            LOG.warning("the use of a token cannot be noted", exc_info=True)
    return response
