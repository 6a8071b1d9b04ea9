"""From sharing out to published sessions in a real browser, with a server restarted on the way."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from clubplanner.domain.club.people import Role
from clubplanner.services.people.people import PersonDraft, add_person
from clubplanner.services.people.ways_in.browsers import open_browser
from tests.browser.pressing import PATIENCE_MS, press
from tests.browser.served import Site
from tests.builders import NOW
from tests.ports import free_port
from tests.small_club import kept_bookings

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Browser, Page

    from clubplanner.store.engine import Store

pytestmark = pytest.mark.browser


@pytest.fixture
def site(club_store: Store) -> Iterator[Site]:
    """Serve the invented club; afterwards no process of its share-outs is left."""
    site = Site(club_store, free_port())
    site.begin()
    yield site
    site.end()
    if site.runner is not None:
        site.runner.wait(PATIENCE_MS / 1000)


@pytest.fixture
def desk(site: Site, browser: Browser) -> Iterator[Page]:
    """Give the secretary's page."""
    number = add_person(site.store, PersonDraft("Kim", Role.SECRETARY, "", ()), NOW)
    with site.store.write() as session:
        secret = open_browser(session, number, "A laptop", NOW)
    context = browser.new_context(viewport={"width": 360, "height": 740})
    context.add_cookies([{"name": "person", "value": secret, "url": site.address}])
    yield context.new_page()
    context.close()


def test_a_run_outlives_the_server_is_stopped_and_published(site: Site, desk: Page) -> None:
    """Progress renews itself, a restarted server finds the run, its best plan is published."""
    desk.goto(f"{site.address}/desk/share-outs")
    desk.get_by_label("Stretch of the season").select_option("winter")
    desk.get_by_label("Time allowed").first.select_option("600")
    press(desk.get_by_role("button", name="Share out", exact=True))
    desk.wait_for_url(re.compile(r"/desk/share-outs/runs/\d+$"))
    desk.evaluate("window.isSamePage = true")
    desk.locator(".aim-words", has_text=re.compile(r"\d")).first.wait_for()
    assert desk.evaluate("window.isSamePage") is True, "renewed without a reload"
    site.end()
    site.begin()
    desk.goto(desk.url)
    assert re.search(r"Aim \d of \d", desk.get_by_role("status").inner_text())
    press(desk.get_by_role("button", name="Stop and keep the best so far"))
    press(desk.get_by_role("link", name="Look at the proposal"))
    text = desk.locator("main").inner_text()
    for words in ("What publishing changes", "added", "cut short"):
        assert words in text
    assert desk.evaluate("document.documentElement.scrollWidth") <= 360
    before = len(kept_bookings(site.store))
    assert before < 20, "only what the club's own files set; a proposal books nothing"
    press(desk.get_by_role("button", name="Publish"))
    desk.get_by_text("Published:").wait_for()
    assert len(kept_bookings(site.store)) > before + 100
