"""A club below a path of a host that serves others, too: kept pages, and sign-ins side by side."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from clubplanner.services.addresses.links import create_squad_link
from tests.builders import NOW
from tests.ports import free_port
from tests.serving import serving

if TYPE_CHECKING:
    from pathlib import Path

    from playwright.sync_api import Browser

    from clubplanner.store.engine import Store

pytestmark = pytest.mark.browser


def test_a_page_below_a_path_opens_without_signal(
    browser: Browser, club_store: Store, store_path: Path
) -> None:
    """Styles come, the page is kept by a worker that reaches no further than the path."""
    secret = create_squad_link(club_store, "u13-kestrels", "a test", NOW)
    port = free_port()
    base = f"http://127.0.0.1:{port}/pitches"
    settings = {"CLUBPLANNER_PUBLIC_ADDRESS": base}
    with serving(store_path, "--port", str(port), folder=None, **settings):
        context = browser.new_context(viewport={"width": 360, "height": 740})
        page = context.new_page()
        page.goto(f"{base}/ground/{secret}")
        assert page.evaluate("getComputedStyle(document.body).fontFamily").startswith('"Atkinson')
        page.locator("html[data-kept=yes]").wait_for()
        assert [worker.url for worker in context.service_workers] == [f"{base}/service-worker.js"]
        context.set_offline(True)
        page.reload()
        assert "No signal" in page.locator("[data-offline]").inner_text()
        page.goto(f"{base}/nowhere")
        assert page.locator("li a").first.get_attribute("href") == f"/pitches/ground/{secret}"
        context.close()
