"""August: everybody is a year older, by hand and eye, and the next season is ready to share out."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from typing import TYPE_CHECKING

import pytest
from axe_playwright_python.sync_playwright import Axe

from clubplanner.domain.club.people import Role
from clubplanner.services.people.people import PersonDraft, add_person
from clubplanner.services.people.ways_in.browsers import open_browser
from clubplanner.services.problem.stretch_problem import load_stretch_problem
from clubplanner.services.rows.snapshot import load_squads, load_stretches
from tests.browser.pressing import press
from tests.browser.served import Site
from tests.ports import free_port

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Browser, Locator, Page

    from clubplanner.store.engine import Store

pytestmark = pytest.mark.browser

AUGUST = datetime(2027, 8, 2, 9, 0, 3, tzinfo=UTC)
"""After the invented club's season, and before the next one."""


@pytest.fixture
def site(club_store: Store) -> Iterator[Site]:
    """Serve the invented club in August."""
    site = Site(club_store, free_port(), clock=lambda: AUGUST)
    site.begin()
    yield site
    site.end()


@pytest.fixture
def page(site: Site, browser: Browser) -> Iterator[Page]:
    """Give the secretary's page."""
    number = add_person(site.store, PersonDraft("Kim", Role.SECRETARY, "", ()), AUGUST)
    with site.store.write() as session:
        secret = open_browser(session, number, "A laptop", AUGUST)
    context = browser.new_context(viewport={"width": 1280, "height": 800})
    context.add_cookies([{"name": "person", "value": secret, "url": site.address}])
    yield context.new_page()
    context.close()


def row_of(page: Page, squad: str) -> Locator:
    """Return the row of a squad, by its name of today."""
    head = page.get_by_role("rowheader", name=re.compile(f"^{squad}"))
    return page.get_by_role("row").filter(has=head)


def test_august(site: Site, page: Page) -> None:
    """Two steps away: one squad said, two corrected, one merged; then one press."""
    page.goto(f"{site.address}/desk/evening")
    press(page.get_by_role("link", name="Season", exact=True))
    press(page.get_by_role("link", name="Next season", exact=True))
    assert Axe().run(page).violations_count == 0
    row_of(page, "U18 Ravens").get_by_label("Becomes").select_option("ends")
    row_of(page, "U7 Wrens").get_by_label("Name").fill("U8 Wagtails")
    row_of(page, "U15 Kites").get_by_label("Name").fill("U16 Red Kites")
    robins = row_of(page, "U7 Robins")
    robins.get_by_label("Becomes").select_option("merges into…")
    press(robins.get_by_text("Merge, players, addresses"))
    robins.get_by_label("Merges into").fill("U7 Wrens")
    press(page.get_by_role("button", name="Keep what is typed"))
    site.end()  # what was typed outlives the program
    site.begin()
    page.reload()
    told = page.get_by_role("region", name="What it does")
    assert "U7 Robins go on in U8 Wagtails" in told.inner_text().translate(NO_ISOLATES)
    press(page.get_by_role("button", name="Make the next season"))
    page.get_by_text("The season from Mon 6 Sep 2027 is made already").wait_for()
    press(page.get_by_role("main").get_by_role("link", name="Share out", exact=True))
    assert "Autumn 2027" in page.get_by_role("main").inner_text()
    with site.store.read() as session:
        names = {squad.name for squad in load_squads(session)}
        autumn = next(s for s in load_stretches(session) if s.name == "Autumn 2027")
        asked = {ask.squad for ask in load_stretch_problem(session, autumn).asks}
    assert {"U8 Wagtails", "U16 Red Kites", "U14 Kestrels"} <= names
    assert {"u8-wagtails", "u16-red-kites"} <= asked
    assert not asked & {"u7-robins", "u18-ravens"}


NO_ISOLATES = str.maketrans("", "", "\u2068\u2069")
