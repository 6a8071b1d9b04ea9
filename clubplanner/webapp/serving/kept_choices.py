"""Choices that a browser keeps for its owner: a cookie each, and where to go after choosing."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

from flask import current_app, g, redirect, request, url_for

from clubplanner.webapp.base.forms import own_path
from clubplanner.webapp.base.under_path import cookie_path

if TYPE_CHECKING:
    from collections.abc import Collection
    from contextlib import AbstractContextManager

    from werkzeug.wrappers import Response as BaseResponse

A_YEAR_S = 365 * 86_400


def kept(name: str, known: Collection[str]) -> str:
    """Return what the browser has kept, or blank where that is nothing we know."""
    value = request.cookies.get(name, "")
    return value if value in known else ""


def keep(name: str, known: Collection[str]) -> tuple[BaseResponse, str]:
    """Keep a choice that was sent in a field of its name.

    Returns:
        The way back to where it was made, and the choice; blank where it is nothing we know.
    """
    response = redirect(own_path(request.form.get("back", "")) or url_for("entry.welcome"))
    wanted = request.form.get(name, "")
    if wanted not in known:
        return response, ""
    secure = bool(current_app.config["SESSION_COOKIE_SECURE"])
    response.set_cookie(
        name, wanted, A_YEAR_S, path=cookie_path(), secure=secure, httponly=True, samesite="Lax"
    )
    return response, wanted


def begin(name: str, manner: AbstractContextManager[None]) -> None:
    """Let a manner of telling hold for the rest of the request."""
    manner.__enter__()
    setattr(g, name, manner)


def end(name: str) -> None:
    """End the manner, if it was begun."""
    began = cast("AbstractContextManager[None] | None", g.pop(name, None))
    if began is not None:
        began.__exit__(None, None, None)
