"""The coach's pages by keyboard alone, in forced colours, with large text, in German and Arabic."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

from clubplanner.domain.club.people import Role
from clubplanner.services.addresses.links import create_squad_link
from clubplanner.services.people.people import PersonDraft, add_person
from clubplanner.services.people.ways_in.browsers import open_browser
from tests.browser.pressing import arriving
from tests.browser.served import Site
from tests.builders import NOW
from tests.ports import free_port
from tests.small_club import KESTRELS, book, load_small_club

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Browser, Page

    from clubplanner.store.engine import Store

pytestmark = pytest.mark.browser

FALCONS = "نادي الصقور تحت ١٤"
"""A hirer's name that is written from right to left."""
MOST_STOPS = 60
LARGE = "document.documentElement.style.setProperty('font-size', '200%')"


WIDE = """() => [...document.querySelectorAll('body *')]
  .filter((e) => e.getBoundingClientRect().right > 361 && !e.closest('svg, .places, .place-pages'))
  .map((e) => e.outerHTML.slice(0, 60)).slice(0, 6)"""


@pytest.fixture
def page(browser: Browser, empty_store: Store) -> Iterator[Page]:
    """Sign a coach in on a German phone with forced colours; their neighbour's name is Arabic."""
    load_small_club(empty_store)
    book(empty_store)
    book(empty_store, FALCONS, "third-2")
    site = Site(empty_store, free_port())
    site.begin()
    person = add_person(empty_store, PersonDraft("Robin", Role.COACH, "", (KESTRELS,)), NOW)
    with empty_store.write() as session:
        secret = open_browser(session, person, "A browser", NOW)
    context = browser.new_context(
        viewport={"width": 360, "height": 740}, locale="de-DE", forced_colors="active"
    )
    context.add_cookies([{"name": "person", "value": secret, "url": site.address}])
    found = context.new_page()
    found.goto(f"{site.address}/coach")
    yield found
    context.close()
    site.end()


def press_to(page: Page, words: str) -> None:
    """Go by the keyboard to what bears some words, and see where one is."""
    for _ in range(MOST_STOPS):
        page.keyboard.press("Tab")
        said = page.evaluate(
            "() => (document.activeElement.labels?.[0] ?? document.activeElement).textContent"
        )
        if re.search(words, said):
            outline = page.evaluate("getComputedStyle(document.activeElement).outlineStyle")
            assert outline != "none", f"{words}: no sign of the keyboard"
            return
    pytest.fail(f"the keyboard does not come to {words}")


def look(page: Page) -> None:
    """See that nothing runs out of the page, nor with text twice as large, and how it is drawn."""
    width = "document.documentElement.scrollWidth"
    assert page.evaluate(width) <= 360
    page.evaluate(LARGE)
    wide = page.evaluate(WIDE)
    assert page.evaluate(width) <= 360, f"with text twice as large: {wide}"
    page.evaluate("document.documentElement.removeAttribute('style')")


def test_a_coachs_evening_by_keyboard_alone(page: Page) -> None:
    """From the ground to what fits, other numbers, another way opened, and on to the weeks."""
    assert FALCONS in page.locator(".facts").first.inner_text()
    look(page)
    press_to(page, "^Was hier passt")
    with arriving(page):
        page.keyboard.press("Enter")
    expect(page.locator("h1")).to_have_text("Was hier passt")
    look(page)
    press_to(page, "^Personen")
    page.keyboard.press("Control+A")
    page.keyboard.type("9")
    first = page.locator(".best-way h2").first
    expect(page).to_have_url(re.compile("players=9"))
    expect(first).to_be_visible()
    press_to(page, "^Größtes einzelnes Spiel")
    page.keyboard.press("Enter")
    expect(page.locator("[data-part=largest] svg")).to_be_visible()
    look(page)
    press_to(page, "^Mein Platz")
    with arriving(page):
        page.keyboard.press("Enter")
    expect(page.locator("h1")).to_contain_text("Clubhouse third")
    press_to(page, "^Kommende Wochen")
    with arriving(page):
        page.keyboard.press("Enter")
    expect(page.locator("h1")).to_have_text("Kommende Wochen")
    look(page)


def test_a_familys_page_in_another_script(page: Page, empty_store: Store) -> None:
    """The same for the squad's address, in which the name of the neighbour stands as typed."""
    secret = create_squad_link(empty_store, KESTRELS, "a parent", NOW)
    page.goto(re.sub(r"/coach.*", f"/ground/{secret}", page.url))
    assert FALCONS in page.locator(".facts").first.inner_text()
    look(page)
    press_to(page, "^Sprache und Längen")
    page.keyboard.press("Enter")
    expect(page.get_by_label("Sprache", exact=True)).to_be_visible()
    look(page)
