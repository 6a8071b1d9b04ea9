"""Where “Sign out” is: out of a thumb's way on a phone, beside one's name on a wide screen."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.browser.conftest import sign_in_secretary

if TYPE_CHECKING:
    from playwright.sync_api import Browser

    from tests.browser.conftest import Planner

pytestmark = pytest.mark.browser


@pytest.mark.parametrize(("width", "is_in_header"), [(360, False), (1280, True)])
def test_no_thumb_signs_out_by_mistake(
    planner: Planner, browser: Browser, width: int, is_in_header: bool
) -> None:
    """On a phone only one's own page has the button; there it is always."""
    context = browser.new_context(viewport={"width": width, "height": 740})
    page = context.new_page()
    sign_in_secretary(page, planner)
    assert page.locator(".top .sign-out").is_visible() == is_in_header
    page.goto(f"{planner.address}/me")
    assert page.locator("main form[action='/sign-out']").is_visible()
    context.close()
