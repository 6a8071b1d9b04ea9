"""The thunder clock in a real browser, its time in the test's hand."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

import pytest

from tests.browser.pressing import press

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Browser, BrowserContext, Page, ViewportSize

    from tests.browser.conftest import Planner

pytestmark = pytest.mark.browser

PHONE: ViewportSize = {"width": 360, "height": 740}
BEGIN = datetime(2026, 6, 10, 17, 0, tzinfo=UTC)
"""18:00 in the summer in England."""
LOADING = timedelta(hours=1)
"""More than any machine needs to load the page, whose clock runs until it is stopped."""
MINUTE = 60_000


@pytest.fixture
def phone(browser: Browser) -> Iterator[BrowserContext]:
    """Give a phone of its own, in England."""
    context = browser.new_context(
        viewport=PHONE, has_touch=True, locale="en-GB", timezone_id="Europe/London"
    )
    yield context
    context.close()


@pytest.fixture
def page(phone: BrowserContext, planner: Planner) -> Page:
    """Open the clock at 18:00 on a summer's evening; time stands until it is let go."""
    page = phone.new_page()
    page.clock.install(time=BEGIN - LOADING)
    page.goto(f"{planner.address}/thunder")
    page.clock.pause_at(BEGIN + timedelta(seconds=1))
    return page


def press_thunder(page: Page) -> None:
    """Press the one big button."""
    press(page.locator("[data-press]"))


def left(page: Page) -> str:
    """Return what the clock shows."""
    return page.locator("[data-left]").inner_text()


def said(page: Page) -> str:
    """Return what a screen reader was last told."""
    return page.locator("[data-said]").text_content() or ""


def test_half_an_hour_from_the_last_thunder(page: Page) -> None:
    """Counts down, begins anew at each thunder, ends with whose decision it is."""
    assert page.locator(".thunder-face:visible").count() == 0
    press_thunder(page)
    assert page.get_by_text("Inside now.", exact=True).is_visible()
    assert left(page) == "30:00"
    assert page.get_by_role("button", name="Put the clock away").is_hidden()
    assert "18:30 at the earliest" in page.locator(".thunder-face:visible").inner_text()
    assert said(page) == "Inside now. Counted from zero, until 18:30."
    page.clock.run_for(10 * MINUTE)
    assert left(page) == "20:00"
    assert said(page) == "Minutes left: 20."
    page.clock.run_for(9 * MINUTE)
    press(page.get_by_role("button", name="Again: from zero"))
    assert left(page) == "30:00"
    page.clock.run_for(30 * MINUTE - 1000)
    assert left(page) == "0:01"
    page.clock.run_for(1000)
    assert page.get_by_text("30 minutes are over.").is_visible()
    over = page.locator(".thunder-face:visible").inner_text()
    assert "since 18:19" in over
    assert "decided by the referee, the club and the rule of the place" in over
    assert said(page) == "The minutes are over. The referee and the club decide."
    press(page.get_by_role("button", name="Put the clock away"))
    assert page.get_by_role("button", name="Thunder or lightning").is_visible()
    assert page.locator(".thunder-face:visible").count() == 0


def test_a_screen_reader_hears_little(page: Page) -> None:
    """Four short sentences in half an hour, and the running digits are not read out."""
    page.evaluate(
        "() => { window.heard = []; new MutationObserver(() => window.heard.push("
        "document.querySelector('[data-said]').textContent)).observe("
        "document.querySelector('[data-said]'), {childList: true}); }"
    )
    press_thunder(page)
    page.clock.run_for(31 * MINUTE)
    heard = page.evaluate("window.heard")
    assert len(heard) == 4
    assert all(len(words) < 60 for words in heard)
    assert page.locator("[data-left]").get_attribute("aria-live") == "off"


def test_a_press_by_mistake_is_taken_back(page: Page) -> None:
    """The one before counts again."""
    press_thunder(page)
    page.clock.run_for(12 * MINUTE)
    press_thunder(page)
    press(page.get_by_role("button", name="Pressed by mistake"))
    assert left(page) == "18:00"
    press(page.get_by_role("button", name="Pressed by mistake"))
    assert page.locator(".thunder-face:visible").count() == 0


def test_it_outlives_reload_sleep_and_signal(
    page: Page, phone: BrowserContext, planner: Planner
) -> None:
    """Opened again without signal it shows what is left, whatever the phone did meanwhile."""
    page.locator("html[data-kept=yes]").wait_for()
    press_thunder(page)
    phone.set_offline(True)
    page.reload()
    assert left(page) == "30:00"
    page.evaluate(
        "() => { Object.defineProperty(document, 'hidden', {value: true, configurable: true});"
        " document.dispatchEvent(new Event('visibilitychange')); }"
    )
    page.clock.set_system_time(BEGIN + timedelta(minutes=20, seconds=1))
    page.evaluate(
        "() => { delete document.hidden; document.dispatchEvent(new Event('visibilitychange')); }"
    )
    assert left(page) == "10:00", "the phone slept for twenty minutes"
    other = phone.new_page()
    other.clock.install(time=BEGIN + timedelta(minutes=21))
    other.goto(f"{planner.address}/thunder")
    assert left(other).startswith("9:")


def test_a_clock_that_is_set_does_not_let_anybody_out(page: Page) -> None:
    """Set forward or back while it is looked at, as many minutes are left as before; it is said."""
    press_thunder(page)
    page.clock.run_for(5 * MINUTE)
    page.clock.set_system_time(BEGIN + timedelta(hours=3))
    page.clock.run_for(500)
    assert left(page) == "25:00"
    assert page.locator("[data-changed]").is_visible()
    page.clock.set_system_time(BEGIN - timedelta(hours=2))
    page.clock.run_for(500)
    assert left(page) in ("24:59", "25:00")


def test_set_back_while_it_was_closed_it_begins_anew(page: Page) -> None:
    """What would have been pressed in the future counts from now: never longer, never shorter."""
    press_thunder(page)
    page.clock.run_for(1000)
    page.evaluate("localStorage.setItem('thunder-1', JSON.stringify([Date.now() + 3600000]))")
    page.reload()
    assert left(page) == "30:00"
    assert page.locator("[data-changed]").is_visible()


@pytest.mark.parametrize(
    ("seconds", "words"),
    [
        (9, "9 s, about 3 km off: inside, at once."),
        (30, "30 s, about 10 km off: inside, at once."),
        (45, "45 s, about 15 km off. What can be heard may strike here next: stay in."),
        (200, "No thunder within two minutes. Press the flash again."),
    ],
)
def test_from_flash_to_thunder(page: Page, seconds: int, words: str) -> None:
    """Seconds and a rough distance; whatever is heard begins the half hour."""
    press(page.get_by_text("How far off?"))
    press(page.get_by_role("button", name="Flash"))
    page.clock.run_for(seconds * 1000)
    press(page.get_by_role("button", name="Thunder", exact=True))
    assert page.locator("[data-far]").inner_text() == words
    assert left(page) == "30:00"


def test_it_is_kept_before_anybody_opened_it(phone: BrowserContext, planner: Planner) -> None:
    """Who has looked at the squad's page with signal has the clock without."""
    page = phone.new_page()
    page.goto(planner.squad_page)
    page.locator("html[data-kept=yes]").wait_for()
    phone.set_offline(True)
    press(page.get_by_role("link", name="Thunder clock"))
    press_thunder(page)
    assert left(page) in ("30:00", "29:59")
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    press(page.get_by_role("button", name="Back"))
    page.wait_for_url(planner.squad_page)


def test_without_a_script_the_rule_is_read(browser: Browser, planner: Planner) -> None:
    """No button that does nothing."""
    context = browser.new_context(viewport=PHONE, java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{planner.address}/thunder")
    assert page.get_by_role("button").count() == 0
    assert page.get_by_text("30 minutes have gone by").is_visible()
    context.close()
