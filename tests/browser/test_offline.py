"""The coach's night without signal: what was last fetched opens, says when, and is forgotten."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import Error as PlaywrightError

from tests.browser.conftest import sign_in_secretary
from tests.browser.pressing import press

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Browser, BrowserContext, Page, ViewportSize

    from tests.browser.conftest import Planner

pytestmark = pytest.mark.browser

PHONE: ViewportSize = {"width": 360, "height": 740}
LAPTOP: ViewportSize = {"width": 1366, "height": 850}
KEPT = "html[data-kept=yes]"
ANSWERS_KEPT = "caches.open('fits-1').then((cache) => cache.keys()).then((keys) => keys.length)"


@pytest.fixture
def phone(browser: Browser) -> Iterator[BrowserContext]:
    """Give a phone of its own."""
    context = browser.new_context(viewport=PHONE, has_touch=True)
    yield context
    context.close()


def test_the_coachs_night(browser: Browser, planner: Planner, phone: BrowserContext) -> None:
    """Asked on the phone, let in by the secretary, kept, shown without signal, forgotten."""
    desk = browser.new_context(viewport=LAPTOP)
    laptop = desk.new_page()
    sign_in_secretary(laptop, planner)
    laptop.goto(f"{planner.address}/desk/people")
    laptop.get_by_label("Name", exact=True).fill("Maren Holloway")
    laptop.get_by_label(re.compile("U13 Kestrels")).check()
    press(laptop.get_by_role("button", name="Add"))
    page = phone.new_page()
    page.goto(planner.address)
    press(page.get_by_role("link", name="Sign in"))
    page.get_by_label("Your name or e-mail address").fill("maren holloway")
    press(page.get_by_role("button", name="Ask to be let in"))
    code = page.locator(".code").inner_text()
    laptop.goto(f"{planner.address}/desk/people")
    waiting = laptop.locator("li", has_text="Maren Holloway")
    assert code in waiting.inner_text()
    press(waiting.get_by_role("button"))
    page.goto(laptop.locator(".address").inner_text())
    press(page.get_by_role("button", name="Sign in"))
    page.wait_for_url(re.compile(r"/coach$"))
    desk.close()
    _see_ground(page)
    page.locator(KEPT).wait_for()
    here = page.locator(".where-area").first.inner_text()

    phone.set_offline(True)
    page.goto(f"{planner.address}/coach")
    assert page.locator(".where-area").first.inner_text() == here
    said = page.locator("[data-offline]").inner_text()
    assert re.search(r"No signal\. .* fetched, on \w+day \d+ \w+ \d{4} at \d\d:\d\d", said)
    _see_nothing_to_press(page)
    press(page.get_by_role("link", name=re.compile("What fits here")).first)
    page.get_by_role("heading", name="What fits here").first.wait_for()
    assert _buttons_on(page) == []
    press(page.get_by_role("link", name="My ground").last)
    press(page.get_by_role("link", name="Coming weeks"))
    page.get_by_role("heading", name="This week").or_(page.get_by_text("as usual")).first.wait_for()
    assert "No signal" in page.locator("[data-offline]").inner_text()
    page.goto(f"{planner.address}/me")
    assert page.get_by_role("heading").inner_text() == "No signal"
    assert page.get_by_role("link", name="My ground").count() == 1

    page.goto(f"{planner.address}/coach")
    _see_nothing_to_press(page)
    phone.set_offline(False)  # the page notices by itself, and is fetched anew
    page.locator("[data-offline]").wait_for(state="hidden")
    press(page.get_by_role("link", name=re.compile("Hand back")).first)
    page.get_by_role("button", name="Hand back").wait_for()
    page.get_by_label("Why, in a word").fill("Exams")
    phone.set_offline(True)
    page.locator("[data-offline]").wait_for()
    assert _buttons_on(page) == []
    assert page.get_by_label("Why, in a word").input_value() == "Exams"
    phone.set_offline(False)
    page.locator("[data-offline]").wait_for(state="hidden")
    assert page.get_by_role("button", name="Hand back").is_enabled()
    assert page.get_by_label("Why, in a word").input_value() == "Exams", "nothing typed is lost"
    _see_what_is_told_once(page, phone)
    page.goto(f"{planner.address}/coach")
    assert page.locator("[data-offline]").is_hidden()
    page.goto(f"{planner.address}/me")
    press(page.get_by_role("button", name=re.compile("^Sign out Chrom")))
    page.wait_for_url(planner.address + "/")
    phone.set_offline(True)
    left = _text_of(page, f"{planner.address}/coach")
    assert "Kestrels" not in left
    assert "My ground" not in left


def _see_what_is_told_once(page: Page, phone: BrowserContext) -> None:
    """What was just done is told where it was done, and not again by the page that was kept."""
    press(page.get_by_role("button", name="Hand back"))
    press(page.get_by_role("button", name="Take it back"))
    told = page.locator(".messages .message")
    assert told.first.is_visible()
    phone.set_offline(True)
    page.goto(page.url)
    assert "No signal" in page.locator("[data-offline]").inner_text()
    assert [one.inner_text() for one in told.all() if one.is_visible()] == []
    phone.set_offline(False)
    page.locator("[data-offline]").wait_for(state="hidden")


def test_a_squads_page_opens_without_signal(planner: Planner, phone: BrowserContext) -> None:
    """Parents and coaches with the squad's address have it at the pitch side too."""
    page = phone.new_page()
    page.goto(planner.squad_page)
    page.locator(KEPT).wait_for()
    here = page.locator(".where-area").first.inner_text()
    phone.set_offline(True)
    page.goto(planner.squad_page)
    assert page.locator(".where-area").first.inner_text() == here
    assert "No signal" in page.locator("[data-offline]").inner_text()
    assert page.evaluate("document.fonts.size") > 0


def test_what_fits_opens_without_signal_from_a_squads_page(
    planner: Planner, phone: BrowserContext
) -> None:
    """A coach with the squad's address alone has it at the pitch side, though never opened."""
    page = phone.new_page()
    page.goto(planner.squad_page)
    page.locator(KEPT).wait_for()
    phone.set_offline(True)
    press(page.get_by_role("link", name=re.compile("For the coach: what fits")).first)
    page.get_by_role("heading", name="What fits here").wait_for()
    assert "No signal" in page.locator("[data-offline]").inner_text()
    assert page.locator(".best-way .sheet svg").first.is_visible()
    press(page.get_by_role("link", name="U13 Kestrels"))
    page.get_by_role("heading", name="Coming sessions").wait_for()


def test_numbers_typed_without_signal_are_answered(planner: Planner, phone: BrowserContext) -> None:
    """Players and keepers are answered from what was kept, with when; other numbers are not.

    While nothing changes a second look fetches none of the answers again; signing in forgets them.
    """
    page = phone.new_page()
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    for times in (21, 21):
        page.goto(f"{planner.squad_page}/fits")
        page.locator(KEPT).wait_for()
        page.locator("html[data-fits-kept=all]").wait_for()
        assert sum("/fits.json?" in url for url in asked) == times
    assert page.evaluate(ANSWERS_KEPT) == 21
    with_signal = {numbers: _best_for(page, *numbers) for numbers in ((9, 0), (11, 1), (24, 3))}
    page.goto(f"{planner.squad_page}/fits")
    page.locator("html[data-fits-kept=all]").wait_for()

    phone.set_offline(True)
    page.goto(f"{planner.squad_page}/fits")
    for numbers, best in with_signal.items():
        assert _best_for(page, *numbers) == best
        said = page.locator("[data-kept-note]").inner_text()
        assert re.search(r"No signal\. This answer was fetched on \w+day .* at \d\d:\d\d", said)
    assert page.locator("#fit-results .cautions li").count() > 3, "cautions are kept, too"
    page.get_by_label("Players").fill("25")
    page.locator("[data-not-kept]").wait_for()
    assert page.locator("#fit-results").is_hidden(), "nothing is shown for other numbers"
    assert page.locator("[data-kept-note]").is_hidden()
    page.get_by_label("Players").fill("11")
    page.locator("[data-not-kept]").wait_for(state="hidden")
    press(page.get_by_text("Kit and paces"))
    page.get_by_label("Portable goals").fill("2")
    page.locator("[data-not-kept]").wait_for()
    phone.set_offline(False)
    page.get_by_label("Portable goals").fill("1")
    page.locator("[data-not-kept]").wait_for(state="hidden")
    assert page.locator("[data-kept-note]").is_hidden()
    assert page.evaluate(ANSWERS_KEPT) > 0
    page.goto(f"{planner.address}/sign-in")
    page.get_by_label("Your name or e-mail address").fill("Kim Ashby")
    press(page.locator("form[method=post] button").first)
    assert page.evaluate(ANSWERS_KEPT) == 0


def _best_for(page: Page, players: int, keepers: int) -> str:
    """Type numbers and return the title of the best way, once what stood there is gone.

    Typing is told once, of both numbers: there is one answer, however slowly it is typed.
    """
    results = page.locator("#fit-results")
    results.evaluate("here => here.insertAdjacentHTML('beforeend', '<i data-old></i>')")
    page.get_by_label("Players").evaluate("(field, value) => { field.value = value }", str(players))
    page.get_by_label("of them keepers").fill(str(keepers))
    page.locator("[data-old]").wait_for(state="detached")
    return results.locator(".way h2").first.inner_text()


def test_without_signal_the_readers_language_is_spoken(browser: Browser, planner: Planner) -> None:
    """What the worker shows by itself is in the language of the pages it kept."""
    context = browser.new_context(viewport=PHONE, has_touch=True, locale="de-DE")
    page = context.new_page()
    page.goto(planner.squad_page)
    page.locator(KEPT).wait_for()
    context.set_offline(True)
    page.goto(f"{planner.address}/me")
    assert page.get_by_role("heading").inner_text() == "Kein Netz"
    assert page.evaluate("document.documentElement.lang") == "de"
    assert "No signal" not in page.locator("body").inner_text()
    assert page.locator("ul a").count() >= 1
    context.close()


def _see_nothing_to_press(page: Page) -> None:
    """Look that what cannot work without signal is off, and that the page says why."""
    page.locator("html.no-signal").wait_for()
    assert _buttons_on(page) == []
    assert page.locator("form[action$='/sign-out'] button").first.is_disabled()
    said = page.locator("[data-offline]").inner_text()
    assert "What needs signal is switched off until it is back." in said
    for words in ("Hand back, swap, more", "Give and take", "Calendar and notices"):
        link = page.locator("a", has_text=words).first
        assert link.get_attribute("href") is None
        assert link.get_attribute("aria-disabled") == "true"


def _buttons_on(page: Page) -> list[str]:
    return page.locator("form button:enabled").all_inner_texts()


def _see_ground(page: Page) -> None:
    assert page.locator(".sheet svg").first.is_visible()
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]


def _text_of(page: Page, address: str) -> str:
    """Return what a page shows; nothing where it cannot be opened at all."""
    try:
        page.goto(address)
    except PlaywrightError:
        return ""
    return page.locator("body").inner_text()
