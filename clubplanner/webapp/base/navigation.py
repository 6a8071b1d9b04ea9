"""The links at the top of every page: for each person those that they may open.

Two rows: a few places by what somebody does there, and the pages of the place one is in. So no
page is more than two steps away, and nothing moves while one looks for it.
"""

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

    from clubplanner.domain.club.people import Person


@dataclass(frozen=True, slots=True)
class Page:
    """A page that is to be found from everywhere.

    Attributes:
        endpoint: Where it leads.
        words: What it says.
        also: Endpoints that belong to it besides its own.
    """

    endpoint: str
    words: str
    also: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Place:
    """What somebody does here: one link in the first row, its pages in the second.

    Attributes:
        words: What it says.
        pages: Its pages; it leads to the first of them that somebody may open.
        also: Blueprints and endpoints that belong to it besides its pages' own.
    """

    words: str
    pages: tuple[Page, ...]
    also: tuple[str, ...] = ()


PLACES = (
    Place(marked("My ground"), (Page("coach.home", marked("My ground")),), ("coach",)),
    Place(
        marked("Tonight"),
        (
            Page("desk.evening", marked("Evening"), ("desk.booking", "share_outs.tonight")),
            Page("desk.week", marked("Week")),
            Page("season.ahead", marked("Ahead")),
            Page("season.asks", marked("Asks")),
            Page(
                "season.closures",
                marked("Closures"),
                (
                    "season.closure",
                    "season.look_at_closure",
                    "season.close",
                    "season.close_and_share_out",
                    "season.reopen",
                    "season.bring_back",
                    "season.look_at_change",
                    "season.change",
                ),
            ),
            Page("board.desk", marked("Board")),
        ),
        ("desk",),
    ),
    Place(
        marked("Plan"),
        (
            Page("share_outs.listing", marked("Share out")),
            Page("share_outs.again", marked("Share out again")),
            Page("share_outs.turns", marked("Fair turns")),
            Page("season.fairness", marked("Fairness")),
            Page("reports.report", marked("Report")),
        ),
        ("share_outs", "reports"),
    ),
    Place(
        marked("Season"),
        (
            Page("season.weeks", marked("Weeks")),
            Page("desk.booked", marked("Bookings")),
            Page("season.matches", marked("Matches"), ("season.match", "season.who_made_way")),
            Page(
                "season.hires",
                marked("Hires"),
                (
                    "season.hire",
                    "season.new_hire",
                    "season.more_dates",
                    "season.move_hire_dates",
                    "season.end_hire_dates",
                    "season.correct_hire",
                    "keeping.hirer",
                    "keeping.erase_hirer",
                ),
            ),
            Page(
                "season.year",
                marked("Year"),
                ("season.see_stretch", "season.move_stretch", "season.change_stretch"),
            ),
            Page("season.next_season", marked("Next season"), ("season.change_next_season",)),
            Page("season.light", marked("Light")),
            Page("money.desk", marked("Money"), ("money",)),
            Page("season.wear", marked("Grass")),
        ),
        ("season",),
    ),
    Place(
        marked("Club"),
        (
            Page(
                "squads.listing",
                marked("Squads"),
                (
                    "squads.edit_squad",
                    "squads.new_squad",
                    "squads.clubs",
                    "squads.add_club",
                    "squads.rename_club",
                    "squads.end_club",
                    "squads.see_end",
                    "squads.end",
                    "season.squad_sessions",
                    "season.see_begin",
                    "season.begin",
                ),
            ),
            Page("grounds.listing", marked("Grounds"), ("grounds",)),
            Page(
                "people.listing",
                marked("People"),
                ("people", "keeping.person", "keeping.erase_person"),
            ),
            Page("calendars.listing", marked("Addresses"), ("calendars",)),
            Page("season.busy_calendars", marked("Calendars"), ("season.busy_calendar",)),
            Page("webhooks.listing", marked("Webhooks"), ("webhooks",)),
            Page("season.mails", marked("Mails"), ("season.mail",)),
            Page("season.changes", marked("Changes")),
            Page("squads.files", marked("Files"), ("squads.load", "club_folder.take_in")),
            Page(
                "keeping.desk",
                marked("What is kept"),
                ("keeping.change", "keeping.look", "keeping.erase_typed"),
            ),
        ),
        ("squads", "desk.first_steps", "pasting"),
    ),
)
"""In this order; a place or page that somebody may not open is left out."""

NOT_FOR: dict[str, frozenset[str]] = {
    "coach.home": frozenset({"secretary", "club's secretary"}),
    "desk.evening": frozenset({"coach"}),
}
"""Pages that somebody may open, but reaches from elsewhere."""


@dataclass(frozen=True, slots=True)
class Link:
    """A place or page as it is shown, with how much waits there for whoever is looking."""

    endpoint: str
    words: str
    is_current: bool
    waiting: int = 0


@dataclass(frozen=True, slots=True)
class Rows:
    """The links at the top: the places, and the pages of the place one is in."""

    places: tuple[Link, ...] = ()
    pages: tuple[Link, ...] = ()
    place_words: str = ""


def register(app: Flask) -> None:
    """Let templates ask for the links, and whether a page opens to whoever is looking."""
    app.add_template_global(navigation, "navigation")
    app.add_template_global(opens, "opens")
    app.add_template_global(marks_now, "marks_now")


def belong_to(endpoint: str) -> None:
    """Let this answer be marked at the top as part of a page: for addresses that serve several."""
    g.belongs_to = endpoint


def opens(endpoint: str) -> bool:
    """Tell whether whoever is looking may open a page."""
    return may_open(current_person(), endpoint)


def navigation() -> Rows:
    """Return the links for whoever is signed in; none for others."""
    person = current_person()
    if person is None:
        return Rows()
    places = [(place, pages) for place in PLACES if (pages := _open_pages(place, person))]
    endpoint = g.get("belongs_to") or request.endpoint or ""
    here = _place_of(places, endpoint)
    pages = dict(places).get(here, []) if here else []
    page = _page_of(pages, endpoint)
    shown = tuple(_link(p, is_current=p is page) for p in pages) if len(pages) > 1 else ()
    return Rows(
        tuple(
            Link(
                pages[0].endpoint,
                term(place.words),
                place is here,
                0 if place is here and shown else sum(_waiting(p) for p in pages),
            )
            for place, pages in places
        ),
        shown,
        term(here.words) if here else "",
    )


def pages_of(person: Person) -> tuple[Link, ...]:
    """Return every page that somebody finds from everywhere."""
    return tuple(
        _link(page, is_current=False) for place in PLACES for page in _open_pages(place, person)
    )


def finds(person: Person | None, endpoint: str) -> bool:
    """Tell whether a page is one that somebody, None for a stranger, opens from everywhere."""
    role = "" if person is None else person.role.value
    return may_open(person, endpoint) and role not in NOT_FOR.get(endpoint, ())


def _open_pages(place: Place, person: Person) -> list[Page]:
    return [page for page in place.pages if finds(person, page.endpoint)]


def _link(page: Page, *, is_current: bool) -> Link:
    return Link(page.endpoint, term(page.words), is_current, _waiting(page))


def _waiting(page: Page) -> int:
    marks = marks_now()
    waiting = {
        "coach.home": marks.offers,
        "season.asks": marks.asks,
        "people.listing": marks.requests,
    }
    return waiting.get(page.endpoint, 0)


def marks_now() -> Marks:
    """Return what waits for whoever is looking; looked up once a request."""
    person = current_person()
    if "marks" not in g:
        state = app_state()
        g.marks = Marks() if person is None else marks_for(state.store, person, state.clock())
    found = g.marks
    return found if isinstance(found, Marks) else Marks()


def _place_of(places: list[tuple[Place, list[Page]]], endpoint: str) -> Place | None:
    """Return the place an endpoint belongs to: by a page, by its name, or by its blueprint's."""
    blueprint = endpoint.partition(".")[0]
    by_page = [place for place, pages in places if _page_of(pages, endpoint)]
    by_name = [place for place, _ in places if endpoint in place.also]
    owned = [place for place, _ in places if blueprint in place.also]
    return next(iter((*by_page, *by_name, *owned)), None)


def _page_of(pages: list[Page], endpoint: str) -> Page | None:
    """Return the page an endpoint belongs to: its own, one that names it, or its blueprint's."""
    blueprint = endpoint.partition(".")[0]
    named = [page for page in pages if endpoint == page.endpoint or endpoint in page.also]
    owned = [page for page in pages if blueprint in page.also]
    return next(iter((*named, *owned)), None)
