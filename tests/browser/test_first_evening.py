"""From nothing to a published evening, by typing alone, in a real browser."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from clubplanner.services.people.ways_in.passwords import create_secretary_key
from tests.browser.conftest import PASSWORD
from tests.browser.pressing import PATIENCE_MS, press
from tests.browser.served import Site
from tests.builders import NOW
from tests.ports import free_port
from tests.small_club import kept_bookings

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Browser, BrowserContext, Page

    from clubplanner.store.engine import Store

pytestmark = pytest.mark.browser


@pytest.fixture
def site(empty_store: Store) -> Iterator[Site]:
    """Serve a planner with nothing in it."""
    site = Site(empty_store, free_port())
    site.begin()
    yield site
    site.end()
    if site.runner is not None:
        site.runner.wait(PATIENCE_MS / 1000)


def _go_on(page: Page, words: str) -> None:
    """Go back to the first steps, and to the next of them."""
    if not page.url.endswith("/first-steps"):
        press(page.get_by_role("link", name="First steps").first)
    press(page.locator("[aria-current=step]").get_by_role("link", name=words))


def _sign_in(context: BrowserContext, site: Site) -> Page:
    """Sign the secretary in with the password, in a browser that knows nothing."""
    page = context.new_page()
    page.goto(f"{site.address}/sign-in")
    page.locator("[name=login]").fill("Kim Ashby")
    page.locator("[name=password]").fill(PASSWORD)
    press(page.locator("form", has=page.locator("[name=password]")).get_by_role("button"))
    return page


def test_a_club_gets_from_nothing_to_a_published_evening(site: Site, browser: Browser) -> None:
    """Left at a desk and taken up again on a phone; then a parent sees the ground."""
    key = create_secretary_key(site.store, NOW)
    first = browser.new_context(viewport={"width": 1280, "height": 740})
    page = first.new_page()
    page.goto(f"{site.address}/secretary/{key}")
    page.get_by_label("Your name").fill("Kim Ashby")
    page.get_by_label("Password").first.fill(PASSWORD)
    press(page.locator("main form button").first)
    page.wait_for_url("**/desk/first-steps")
    _go_on(page, "Name the club")
    page.get_by_label("Name").fill("Weir Rangers")
    press(page.get_by_role("button", name="Save"))
    _go_on(page, "Add a venue")
    page.get_by_label("Name").fill("Weir Park")
    page.locator("[name=place]").fill("52.3 N, 2.6 W")
    press(page.get_by_role("button", name="Save"))
    page.wait_for_url("**/by-kind")
    first.close()

    second = browser.new_context(viewport={"width": 360, "height": 740})
    page = _sign_in(second, site)
    page.wait_for_url("**/desk/first-steps")
    assert "2 of 7 steps are done" in page.locator("main").inner_text()
    _go_on(page, "Draw a pitch")
    press(page.get_by_role("link", name="Paced out"))
    page.get_by_label("Name", exact=True).first.fill("Top pitch")
    page.get_by_label("Surface", exact=True).select_option("artificial")
    page.get_by_label("Length, m").first.fill("100")
    page.get_by_label("Width, m").first.fill("64")
    page.get_by_label("Floodlights").check()
    page.get_by_label("Thirds").check()
    page.locator("#pitch-drawing svg").wait_for()
    page.get_by_text("4 parts that can be booked", exact=True).wait_for()
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    press(page.get_by_role("button", name="Save"))
    page.get_by_text("Top pitch saved.").wait_for()
    _go_on(page, "Say who asks for what")
    for label, words in (
        ("Name", "U12 Terns"),
        ("Age group", "U12"),
        ("Players", "14"),
        ("Sessions a week", "1"),
        ("Minutes each", "75"),
        ("Possible days and times", "Mon-Thu 17:30-20:00"),
        ("Least ground", "third"),
    ):
        page.get_by_label(label, exact=True).first.fill(words)
    press(page.get_by_role("button", name="Save"))
    _go_on(page, "Name a stretch of the season")
    page.locator("[name=stretch_name]").fill("Winter")
    page.locator("[name=stretch_first]").fill("2026-11-16")
    page.locator("[name=stretch_last]").fill("2027-02-28")
    press(page.locator("form", has=page.locator("[name=stretch_name]")).get_by_role("button"))
    _go_on(page, "Share out, look at it, publish it")
    press(page.get_by_role("button", name="Share out", exact=True))
    press(page.get_by_role("link", name="Look at the proposal"))
    press(page.get_by_role("button", name="Publish"))
    page.get_by_text("Published:").wait_for()
    assert len(kept_bookings(site.store)) == 15, "one a week from 16 November to 28 February"
    _go_on(page, "Hand out the squads’ addresses")
    press(page.get_by_role("button", name="Make the sheet"))
    address = page.locator(".strip-address").inner_text()

    parent = browser.new_context(viewport={"width": 360, "height": 740}).new_page()
    parent.goto(address)
    text = parent.locator("main").inner_text()
    assert "Top pitch" in text
    assert "75" in text or "17:30" in text
    parent.context.close()
    page.goto(f"{site.address}/desk/first-steps")
    assert "All is done" in page.locator("main").inner_text()
    second.close()
