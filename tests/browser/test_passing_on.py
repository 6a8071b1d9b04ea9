"""A session passed on, from the coach's press to the assistant's phone without signal."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from tests.browser.conftest import sign_in_secretary
from tests.browser.pressing import press

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page, ViewportSize

    from tests.browser.conftest import Planner

pytestmark = pytest.mark.browser

PHONE: ViewportSize = {"width": 360, "height": 740}


def numbers_on(page: Page) -> tuple[str, str]:
    """Return the players and goalkeepers that what fits begins with."""
    return page.get_by_label("Players").input_value(), page.get_by_label("keepers").input_value()


def test_passed_on_copied_counted_and_kept(browser: Browser, planner: Planner) -> None:
    """Copied with one press; the count told there is what everybody begins with, offline too."""
    desk = browser.new_context(viewport=PHONE)
    desk.grant_permissions(["clipboard-read", "clipboard-write"], origin=planner.address)
    page = desk.new_page()
    sign_in_secretary(page, planner)
    page.goto(planner.squad_page)
    booking = page.locator("article.session").first.get_attribute("aria-labelledby") or ""
    page.goto(f"{planner.address}/coach/sessions/{booking.removeprefix('session-')}/pass-on")
    page.get_by_label("Who takes it").fill("Kim Vale")
    page.get_by_label("May say how many come").check()
    press(page.get_by_role("button", name="Make the address"))
    press(page.get_by_role("button", name="Copy it"))
    page.get_by_text("Copied.", exact=True).wait_for()
    address = page.evaluate("navigator.clipboard.readText()")
    assert re.fullmatch(rf"{planner.address}/session/[\w-]+", address)

    phone = browser.new_context(viewport=PHONE, has_touch=True)
    kim = phone.new_page()
    kim.goto(address)
    before = numbers_on(kim)
    assert before != ("10", "2")
    press(kim.locator("#fits > summary"))
    kim.get_by_label("Players").fill("10")
    kim.get_by_label("keepers").fill("2")
    press(kim.get_by_role("button", name="We come with these"))
    kim.get_by_text("10 players, 2 of them in goal").wait_for()
    assert numbers_on(kim) == ("10", "2")
    assert "csrf" not in kim.url
    kim.locator("html[data-kept=yes]").wait_for()
    kim.goto(address)
    kim.locator("html[data-fits-kept=all]").wait_for()
    phone.set_offline(True)
    kim.goto(address)
    assert numbers_on(kim) == ("10", "2")
    press(kim.locator("#fits > summary"))
    assert kim.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    kim.get_by_label("Players").fill("9")
    kim.locator("[data-kept-note]").wait_for()
    assert kim.get_by_role("button", name="We come with these").is_disabled()

    page.goto(planner.squad_page)
    press(page.locator("a[href*='/fits']").first)
    page.wait_for_url("**/fits?*")
    assert numbers_on(page) == ("10", "2"), "the squad's own page begins with it, too"
    phone.close()
    desk.close()
