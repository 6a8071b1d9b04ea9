"""An evening shared out by hand and eye: how many presses it takes, and what is seen."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from axe_playwright_python.sync_playwright import Axe

from clubplanner.domain.club.people import Role
from clubplanner.services.people.people import PersonDraft, add_person
from clubplanner.services.people.ways_in.browsers import open_browser
from tests.browser.pressing import press
from tests.browser.served import Site
from tests.builders import A_WEDNESDAY, NOW
from tests.ports import free_port
from tests.small_club import kept_bookings
from tests.tonight_club import load_tonight_club

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Browser, Page

    from tests.stores import Filled

pytestmark = pytest.mark.browser

PICTURES = os.environ.get("PICTURES", "")
"""A folder for pictures of what is seen; none are taken where it is blank."""
MOST_PRESSES = 14
"""A minute of a person's time at four seconds each: presses and numbers typed. No clock is held
to it, since a busy machine is nobody's fault."""


@pytest.fixture
def site(filled: Filled) -> Iterator[Site]:
    """Serve a club that plans no weeks."""
    site = Site(filled(load_tonight_club), free_port())
    site.begin()
    yield site
    site.end()


@pytest.fixture(params=[360, 1280])
def desk(site: Site, browser: Browser, request: pytest.FixtureRequest) -> Iterator[Page]:
    """Give the secretary's page on a telephone and on a desk."""
    number = add_person(site.store, PersonDraft("Kim", Role.SECRETARY, "", ()), NOW)
    with site.store.write() as session:
        secret = open_browser(session, number, "A laptop", NOW)
    context = browser.new_context(viewport={"width": request.param, "height": 800})
    context.add_cookies([{"name": "person", "value": secret, "url": site.address}])
    yield context.new_page()
    context.close()


class Hand:
    """Presses and types, and counts both."""

    def __init__(self, page: Page) -> None:
        self.page, self.presses = page, 0

    def press(self, role: str, name: str) -> None:
        """Press a link or a button."""
        self.presses += 1
        press(self.page.get_by_role(role, name=name, exact=True))  # type: ignore[arg-type]

    def type(self, label: str, value: str) -> None:
        """Type a number into a field."""
        self.presses += 1
        self.page.get_by_label(label, exact=True).fill(value)

    def look(self, name: str) -> None:
        """Nothing leaves the page to the right; keep a picture if pictures are wanted."""
        width = self.page.viewport_size["width"] if self.page.viewport_size else 0
        assert self.page.evaluate("document.documentElement.scrollWidth") <= width
        found = Axe().run(self.page)
        assert found.violations_count == 0, found.generate_report()
        if PICTURES:
            path = Path(PICTURES) / f"{name}-{width}.png"
            self.page.screenshot(path=path, full_page=True)


def test_from_scratch_and_again_after_a_closure(site: Site, desk: Page) -> None:
    """Numbers typed, one press, published; then a pitch closed, one press, published."""
    hand = Hand(desk)
    desk.goto(f"{site.address}/desk/evening?date={A_WEDNESDAY}")
    hand.press("link", "Share out this evening")
    hand.look("form")
    hand.type("Players of Squad 01", "6")
    hand.type("Players of Squad 02", "22")
    hand.press("button", "Share out")
    desk.get_by_text("All 16 sessions asked for have a place.").wait_for()
    hand.look("proposal")
    hand.press("button", "Publish")
    desk.get_by_text("Published:").wait_for()
    assert len(kept_bookings(site.store)) == 16
    assert hand.presses == 5
    hand.press("link", "Who comes, and the ground")
    press(desk.locator("summary", has_text="Close it: Pitch 1"))
    hand.presses += 2
    desk.locator("#field-closed-marsh-lane-pitch-1").select_option(index=1)
    desk.locator("#field-reason-marsh-lane-pitch-1").fill("waterlogged")
    hand.presses += 1
    hand.look("closing")
    hand.press("button", "Share out")
    desk.get_by_text("no other squads are disturbed (proved fewest)").wait_for()
    hand.look("after-closure")
    hand.press("button", "Publish")
    desk.get_by_text("Ground closed.").wait_for()
    hand.look("published")
    assert hand.presses <= MOST_PRESSES
