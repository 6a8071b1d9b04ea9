"""Choices that a browser keeps for its owner: a cookie each, and where to go after choosing."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING, Generic, TypeVar, cast

from flask import current_app, g, redirect, request, url_for

from clubplanner.webapp.base.forms import own_path
from clubplanner.webapp.base.under_path import cookie_path

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Mapping
    from contextlib import AbstractContextManager

    from flask import Flask
    from werkzeug.wrappers import Response as BaseResponse

A_YEAR_S = 365 * 86_400
Kind = TypeVar("Kind", bound=StrEnum)


@dataclass(frozen=True, slots=True)
class Manner(Generic[Kind]):
    """A manner in which pages tell or draw something, as each browser keeps it.

    Attributes:
        name: Of the cookie and of the field that a choice is sent in.
        kinds: Which there are.
        chosen: Returns the one that holds now.
        holding: Lets one hold within a block.
        words: Returns each in words, in the order in which they are offered.
        not_for: Ends of the paths of what goes out to others, who see it as everybody does.
    """

    name: str
    kinds: type[Kind]
    chosen: Callable[[], Kind]
    holding: Callable[[Kind], AbstractContextManager[None]]
    words: Callable[[], Mapping[Kind, str]]
    not_for: tuple[str, ...]

    def register(self, app: Flask) -> None:
        """Let it hold in each request, and let templates offer the choice as `…_choices`."""
        app.before_request(self._begin)
        app.teardown_request(self._end)
        app.add_template_global(self._choices, f"{self.name}_choices")

    def keep(self) -> tuple[BaseResponse, str]:
        """Keep a choice that was sent; see `keep`."""
        return keep(self.name, list(self.kinds))

    def _begin(self) -> None:
        wanted = kept(self.name, list(self.kinds))
        if wanted and not request.path.endswith(self.not_for):
            begin(self.name, self.holding(self.kinds(wanted)))

    def _end(self, _error: BaseException | None) -> None:
        end(self.name)

    def _choices(self) -> list[dict[str, object]]:
        """Return what can be chosen: value, words, and whether it is chosen now."""
        return [
            {"value": kind.value, "words": words, "is_chosen": kind is self.chosen()}
            for kind, words in self.words().items()
        ]


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
