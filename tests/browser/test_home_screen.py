"""A browser that nobody here made reads what our pages say for its home screen."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Browser

    from tests.browser.conftest import Planner

pytestmark = pytest.mark.browser


def test_chromium_takes_a_squads_page_for_one_of_the_home_screen(
    browser: Browser, planner: Planner
) -> None:
    """No fault in the manifest, and nothing that keeps the page from being put there."""
    context = browser.new_context()
    page = context.new_page()
    page.goto(planner.squad_page)
    page.locator("html[data-kept=yes]").wait_for()
    session = context.new_cdp_session(page)
    found = session.send("Page.getAppManifest")
    assert found["errors"] == []
    assert found["url"].startswith(planner.squad_page)
    assert json.loads(found["data"])["short_name"] == "U13 Kestrels"
    assert found["manifest"]["startUrl"] == planner.squad_page
    assert found["manifest"]["display"] == "kStandalone"
    errors = session.send("Page.getInstallabilityErrors")["installabilityErrors"]
    assert [error["errorId"] for error in errors if error["errorId"] != "in-incognito"] == []
    context.close()


def test_a_phone_that_tells_no_tab_says_how(browser: Browser, planner: Planner) -> None:
    """Where notices are for pages of the home screen only, the way there is told."""
    context = browser.new_context(has_touch=True, viewport={"width": 360, "height": 740})
    context.add_init_script("delete window.PushManager")
    page = context.new_page()
    page.goto(planner.squad_page)
    words = page.locator("[data-tell-why=tab]")
    words.wait_for()
    assert "Add to the home screen" in words.inner_text()
    assert page.locator("[data-tell-why=unable]").is_hidden()
    context.close()
