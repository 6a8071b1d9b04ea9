"""What every view can reach: the store, the configuration and the clock of this app."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from flask import current_app, g

from clubplanner.services.calendars.feed_memory import FeedMemory

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

    from clubplanner.config import Config
    from clubplanner.store.engine import Store
    from clubplanner.webapp.base.runner import Runner

EXTENSION = "clubplanner"


@dataclass(frozen=True, slots=True)
class AppState:
    """The parts an app was made from.

    Attributes:
        store: The database.
        config: The configuration.
        clock: Gives the present instant, UTC.
        runner: Runs share-outs behind the pages.
        feeds: What calendars were when they were last built.
    """

    store: Store
    config: Config
    clock: Callable[[], datetime]
    runner: Runner
    feeds: FeedMemory = field(default_factory=FeedMemory)

    def today(self, zone: ZoneInfo) -> date:
        """Return the present date in a zone."""
        return self.clock().astimezone(zone).date()


def app_state() -> AppState:
    """Return the state of the app that serves the request, acting for who is signed in."""
    state = current_app.extensions[EXTENSION]
    if not isinstance(state, AppState):
        raise TypeError("The app was not made by create_app.")
    acting = state.store.acting_for(g.get("acting", "a visitor"))
    return replace(state, store=acting.noting(made_changes()).claimed(g.get("claim")))


def made_changes() -> list[int]:
    """Return the numbers of the changes that this request has made so far."""
    numbers: list[int] = g.setdefault("made_changes", [])
    return numbers


def act_as(name: str) -> None:
    """Say who this request comes from, for the journal: "the secretary", a link's holder."""
    g.acting = name
