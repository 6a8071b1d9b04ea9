"""The links at the top: few places, each page at most two steps away."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from clubplanner.domain.club.people import Role
from tests.webapp.conftest import sign_in, token

if TYPE_CHECKING:
    from flask import Flask
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store

ALONE = {"/find", "/me"}
"""Pages besides the places: reached from the first row of every page."""
STARTS = (
    "/desk/evening",
    "/desk/squads",
    "/desk/share-outs",
    "/desk/season/light",
    "/desk/people",
    "/find",
)


def rows(browser: FlaskClient, path: str) -> tuple[dict[str, str], dict[str, str], list[str]]:
    """Return the links of both rows by where they lead, and the words of those that are current."""
    page = browser.get(path).text
    header = page[page.index('<header class="top"') : page.index("</header>")]
    places, _, pages = header.partition('<nav class="place-pages"')
    return _links(places[places.index("<nav") :]), _links(pages), marked_in(page)


def marked_in(page: str) -> list[str]:
    """Return the words of the links of a page's top that are current."""
    header = page[page.index('<header class="top"') : page.index("</header>")]
    return re.findall(r'aria-current="(?:true|page)">([^<]+)', header)


def _links(part: str) -> dict[str, str]:
    return {
        path: words
        for path, words in re.findall(r'<li><a href="([^"]+)"[^>]*>([^<]+)', part)
        if path not in ALONE
    }


def test_each_page_is_two_steps_from_each_other(desk: FlaskClient) -> None:
    """From wherever one is: a place, then its page; and the first row is the same on each page."""
    all_rows = [rows(desk, path) for path in STARTS]
    first_rows = [places for places, _, _ in all_rows]
    assert all(places == first_rows[0] for places in first_rows)
    assert list(first_rows[0].values()) == ["Tonight", "Plan", "Season", "Club"]
    reached = {path for place in first_rows[0] for path in rows(desk, place)[1]}
    assert len(reached) == 30  # what the secretary finds from everywhere
    assert all(desk.get(path).status_code == 200 for path in reached)


def test_each_page_says_where_one_is(desk: FlaskClient) -> None:
    """Its place and itself are marked, also on pages that lie behind another."""
    assert rows(desk, "/desk/season/light")[2] == ["Season", "Light"]
    assert rows(desk, "/desk/squads/u13-kestrels")[2] == ["Club", "Squads"]
    assert rows(desk, "/desk/bookings/1")[2] == ["Tonight", "Evening"]
    assert rows(desk, "/desk/share-outs/tonight")[2] == ["Tonight", "Evening"]
    assert rows(desk, "/desk/grounds/osier-lane")[2] == ["Club", "Grounds"]
    assert rows(desk, "/desk/squads/u13-kestrels/end")[2] == ["Club", "Squads"]
    assert rows(desk, "/desk/season/squads/u13-kestrels/begin")[2] == ["Club", "Squads"]
    assert rows(desk, "/desk/tables/squads")[2] == ["Club", "Squads"]
    assert rows(desk, "/desk/tables/hires")[2] == ["Season", "Hires"]
    assert rows(desk, "/desk/tables/matches")[2] == ["Season", "Matches"]
    closing = "area=16&date=2026-11-25&from=17:40&until_date=2026-11-25&until=24:00"
    look = f"/desk/season/closures/look?{closing}&condition=closed&reason=frost"
    assert rows(desk, look)[2] == ["Tonight", "Closures"]
    stretch = "spring?stretch_name=Spring&stretch_first=2027-04-12&stretch_last=2027-06-18"
    assert rows(desk, f"/desk/season/year/stretches/{stretch}")[2] == ["Season", "Year"]
    assert rows(desk, "/find")[2] == ["Find"]


def test_a_refused_form_says_where_one_is(desk: FlaskClient) -> None:
    """The page that shows it again is marked like the page it was sent from."""
    form = {"csrf_token": token(desk, "/desk/season/next"), "act": "make"}
    answer = desk.post("/desk/season/next", data=form)
    assert answer.status_code == 422
    assert marked_in(answer.text) == ["Season", "Next season"]


def test_nothing_moves_while_one_looks_for_a_page(desk: FlaskClient) -> None:
    """The second row is in the same order on each page of a place."""
    orders = [list(rows(desk, path)[1]) for path in rows(desk, "/desk/season/light")[1]]
    assert all(order == orders[0] for order in orders)


def test_others_have_the_places_that_are_theirs(app: Flask, club_store: Store) -> None:
    """The groundskeeper two, a coach one; a place of one page has no second row."""
    groundskeeper = sign_in(app, club_store, Role.GROUNDSKEEPER)
    places, pages, _ = rows(groundskeeper, "/desk/evening")
    assert list(places.values()) == ["Tonight", "Season"]
    assert list(pages.values()) == ["Evening", "Week", "Closures"]
    coach = sign_in(app, club_store, Role.COACH, "u13-kestrels")
    places, pages, _ = rows(coach, "/coach")
    assert list(places.values()) == ["My ground"]
    assert pages == {}


def test_strangers_have_none(stranger: FlaskClient) -> None:
    """Nobody signed in, no links."""
    assert "<nav" not in stranger.get("/sign-in").text
