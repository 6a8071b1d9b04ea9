"""The links at the top of every page: for each person those that they may open."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from flask import g, request

from clubplanner.language import marked, term
from clubplanner.services.people.marks import Marks, marks_for
from clubplanner.webapp.base.security import current_person, may_open
from clubplanner.webapp.base.state import app_state

if TYPE_CHECKING:
    from flask import Flask


@dataclass(frozen=True, slots=True)
class Entry:
    """A link at the top.

    Attributes:
        endpoint: Where it leads.
        words: What it says.
        also: Endpoints and blueprints that belong to it besides its own.
    """

    endpoint: str
    words: str
    also: tuple[str, ...] = ()


ENTRIES = (
    Entry("coach.home", marked("My ground"), ("coach",)),
    Entry("desk.evening", marked("Evening"), ("desk",)),
    Entry("share_outs.listing", "Share-outs", ("share_outs",)),
    Entry("season.ahead", marked("Season"), ("season",)),
    Entry("season.closures", marked("Closures"), ("season",)),
    Entry("squads.listing", marked("Squads")),
    Entry("grounds.listing", marked("Grounds"), ("grounds",)),
    Entry("calendars.listing", marked("Addresses"), ("calendars",)),
    Entry("people.listing", marked("People"), ("people",)),
    Entry("board.desk", marked("Board")),
    Entry("squads.files", marked("Files"), ("squads.load",)),
)
"""In this order; an entry that somebody may not open is left out."""

NOT_FOR: dict[str, frozenset[str]] = {
    "coach.home": frozenset({"secretary"}),
    "desk.evening": frozenset({"coach"}),
    "season.closures": frozenset({"secretary"}),
}
"""Pages that somebody may open, but reaches from elsewhere."""


@dataclass(frozen=True, slots=True)
class Link:
    """An entry as it is shown, with how much waits there for whoever is looking."""

    endpoint: str
    words: str
    is_current: bool
    waiting: int = 0


def register(app: Flask) -> None:
    """Let templates ask for the links, and whether a page opens to whoever is looking."""
    app.add_template_global(navigation, "navigation")
    app.add_template_global(opens, "opens")
    app.add_template_global(marks_now, "marks_now")


def opens(endpoint: str) -> bool:
    """Tell whether whoever is looking may open a page."""
    return may_open(current_person(), endpoint)


def navigation() -> tuple[Link, ...]:
    """Return the links for whoever is signed in; none for others."""
    person = current_person()
    if person is None:
        return ()
    shown = [
        entry
        for entry in ENTRIES
        if may_open(person, entry.endpoint)
        and person.role.value not in NOT_FOR.get(entry.endpoint, ())
    ]
    current = _current(shown, request.endpoint or "")
    marks = marks_now()
    waiting = {"coach.home": marks.offers, "people.listing": marks.requests}
    return tuple(
        Link(e.endpoint, term(e.words), e is current, waiting.get(e.endpoint, 0)) for e in shown
    )


def marks_now() -> Marks:
    """Return what waits for whoever is looking; looked up once a request."""
    person = current_person()
    if "marks" not in g:
        state = app_state()
        g.marks = Marks() if person is None else marks_for(state.store, person, state.clock())
    found = g.marks
    return found if isinstance(found, Marks) else Marks()


def _current(entries: list[Entry], endpoint: str) -> Entry | None:
    """Return the entry an endpoint belongs to: its own, one that names it, or its blueprint's."""
    blueprint = endpoint.partition(".")[0]
    named = [e for e in entries if endpoint == e.endpoint or endpoint in e.also]
    owned = [e for e in entries if blueprint in e.also]
    near = [e for e in entries if e.endpoint.partition(".")[0] == blueprint]
    return next(iter((*named, *owned, *near)), None)
