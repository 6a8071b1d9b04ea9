"""From a table of twelve squads and four pitches by kind to a published week, counted by hand.

A new secretary's first evening should take at most `MOST_CLICKS` clicks and `MOST_FIELDS` fields
(our own aim; signing up counts, too).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import select

from clubplanner.services.people.passwords import create_secretary_key
from clubplanner.store.tables.squad_tables import SquadRow
from tests.browser.conftest import PASSWORD
from tests.browser.served import Site
from tests.builders import NOW
from tests.ports import free_port
from tests.small_club import kept_bookings

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Browser, FilePayload, Locator, Page

    from clubplanner.store.engine import Store

pytestmark = pytest.mark.browser

MOST_CLICKS, MOST_FIELDS = 40, 30
HEAD = "squad,age group,players,coach,sessions a week,minutes,possible,least ground,needs goal"
ROWS = (
    "U8 Larks,U8,10,Kit Ames,1,60,Tue 17:00-19:00,quarter,no",
    "U9 Terns,U9,12,Jo Birch,1,60,Mon 17:00-19:00,quarter,no",
    "U10 Owls,U10,12,Al Crane,1,60,Wed 17:00-19:00,quarter,no",
    "U11 Wrens,U11,14,Bo Dale,2,75,Mon-Thu 17:00-19:30,third,yes",
    "U12 Kites,U12,14,Cy Elm,2,75,Mon-Thu 17:00-19:30,third,yes",
    "U13 Rooks,U13,15,Di Fern,2,75,Mon-Thu 17:30-20:00,third,yes",
    "U14 Swifts,U14,16,Ed Gale,2,75,Mon-Thu 17:30-20:00,half,yes",
    "U15 Herons,U15,16,Flo Hart,2,90,Mon-Thu 18:00-21:00,half,yes",
    "U16 Gulls,U16,17,Gil Ives,2,90,Mon-Thu 18:00-21:00,half,yes",
    "U18 Hawks,U18,18,Hal Jory,2,90,Mon-Thu 18:30-21:30,half,yes",
    "Women,Adult,20,Ida Kerr,2,90,Mon-Thu 18:30-21:30,half,yes",
    "Men,Adult,20,Jay Lunt,2,90,Mon-Thu 18:30-21:30,half,yes",
)
SESSIONS_A_WEEK = 21


@dataclass
class Hands:
    """A pair of hands that counts what it does.

    Attributes:
        page: The page they work on.
        clicks: Links, buttons and boxes so far.
        fields: What was typed, chosen from a list or pasted so far.
    """

    page: Page
    clicks: int = 0
    fields: int = 0

    def click(self, what: Locator) -> None:
        """Click once."""
        what.click(timeout=90_000)
        self.clicks += 1

    def fill(self, name: str, words: str) -> None:
        """Type into the field of that name, or choose from it."""
        field = self.page.locator(f"[name={name}]").first
        if field.evaluate("field => field.tagName") == "SELECT":
            field.select_option(words)
        else:
            field.fill(words)
        self.fields += 1

    def button(self, words: str) -> None:
        """Press a button."""
        self.click(self.page.get_by_role("button", name=words, exact=True).first)

    def next_step(self, words: str) -> None:
        """Go back to the first steps, and on to the next of them."""
        if not self.page.url.endswith("/first-steps"):
            self.click(self.page.get_by_role("link", name="First steps").first)
        self.click(self.page.locator("[aria-current=step]").get_by_role("link", name=words))


@pytest.fixture
def site(empty_store: Store) -> Iterator[Site]:
    """Serve a planner with nothing in it."""
    site = Site(empty_store, free_port())
    site.begin()
    yield site
    site.end()
    if site.runner is not None:
        site.runner.wait(60)


def bring_squads(hands: Hands) -> None:
    """Bring the table of squads in: today as a file, where a paste would do, swap it here."""
    table: FilePayload = {
        "name": "squads.csv",
        "mimeType": "text/csv",
        "buffer": "\n".join((HEAD, *ROWS)).encode(),
    }
    hands.click(hands.page.get_by_role("link", name="Files", exact=True).first)
    hands.page.locator("input[type=file]").first.set_input_files(table)
    hands.fields += 1
    hands.click(hands.page.locator("main form button").first)


@pytest.mark.parametrize("width", [1280, 360])
def test_a_first_week_takes_few_clicks_and_fields(site: Site, browser: Browser, width: int) -> None:
    """Nothing said where goals stand or where the club lies, and every session has its ground."""
    page = browser.new_context(viewport={"width": width, "height": 740}).new_page()
    hands = Hands(page)
    page.goto(f"{site.address}/secretary/{create_secretary_key(site.store, NOW)}")
    hands.fill("name", "Kim Ashby")
    hands.fill("password", PASSWORD)
    hands.click(page.locator("main form button").first)
    hands.next_step("Name the club")
    hands.fill("name", "Weir Rangers")
    hands.button("Save")
    hands.next_step("Add a venue")
    hands.fill("name", "Weir Park")
    hands.button("Save")
    page.wait_for_url("**/by-kind")
    kinds = (
        ("full-size-artificial-pitch", "Top pitch"),
        ("full-size-grass-pitch", "River pitch"),
        ("nine-a-side-pitch", "Mill pitch"),
        ("four-court-hall", "Hall"),
    )
    for n, (kind, name) in enumerate(kinds, 1):
        hands.fill(f"kind_{n}", kind)
        hands.fill(f"name_{n}", name)
    hands.click(page.locator("[name=lit_1]"))
    hands.button("Save")
    page.get_by_text("Top pitch, River pitch, Mill pitch, Hall saved.").wait_for()
    bring_squads(hands)
    hands.next_step("Name a stretch of the season")
    hands.click(page.get_by_text("Add or change a stretch"))
    hands.fill("stretch_name", "Winter")
    hands.fill("stretch_first", "2026-11-16")
    hands.fill("stretch_last", "2026-11-29")
    hands.click(page.locator("form", has=page.locator("[name=stretch_name]")).get_by_role("button"))
    page.get_by_role("link", name="First steps").first.wait_for()
    hands.next_step("Share out, look at it, publish it")
    told = page.locator("main").inner_text()
    assert "Where goals stand is not recorded for Hall" in told
    assert "Nobody has said yet where Weir Park lies" in told
    hands.button("Share out")
    hands.click(page.get_by_role("link", name="Look at the proposal"))
    hands.button("Publish")
    page.get_by_text("Published:").wait_for()
    assert len(kept_bookings(site.store)) == 2 * SESSIONS_A_WEEK
    with site.store.read() as session:
        assert len(session.scalars(select(SquadRow)).all()) == len(ROWS)
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert hands.clicks <= MOST_CLICKS, hands.clicks
    assert hands.fields <= MOST_FIELDS, hands.fields
