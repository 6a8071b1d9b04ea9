"""An upgrade of the static files: seen at once, and pages kept from before still look right."""

from __future__ import annotations

import shutil
from typing import TYPE_CHECKING

import pytest

from clubplanner.resources import resource_folder
from clubplanner.services.links import create_squad_link
from clubplanner.webapp import static_files
from tests.browser.conftest import free_port
from tests.browser.served import Site
from tests.builders import NOW

if TYPE_CHECKING:
    from pathlib import Path

    from playwright.sync_api import Browser, Page

    from clubplanner.store.engine import Store

pytestmark = pytest.mark.browser

KEPT = "html[data-kept=yes]"
COLOUR = "getComputedStyle(document.documentElement).getPropertyValue('--upgraded').trim()"
FONTS = "document.fonts.ready.then(f => [...f].filter(x => x.status == 'loaded').length)"
PARTS = """async () => {
  const cache = await caches.open("parts-1");
  return (await cache.keys()).map((key) => new URL(key.url).pathname);
}"""


@pytest.fixture
def web(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Serve from a copy of the static files that may be changed."""
    copy = shutil.copytree(resource_folder("web"), tmp_path / "web")
    monkeypatch.setattr(static_files, "resource_folder", lambda _: copy)
    return copy


def upgrade(site: Site, web: Path, word: str) -> None:
    """Stop serving, change the style sheet, and serve again."""
    site.end()
    style = web / "static" / "css" / "pages.css"
    style.write_text(style.read_text(encoding="utf-8") + f":root {{ --upgraded: {word}; }}\n")
    site.begin()


def styles(page: Page) -> list[str]:
    """Return the style sheets that are kept on the phone."""
    kept: list[str] = page.evaluate(PARTS)
    return [path for path in kept if path.endswith("pages.css")]


def test_an_upgrade_is_seen_at_once_and_kept_pages_stay_whole(
    browser: Browser, club_store: Store, web: Path
) -> None:
    """New styles with the next page; without signal each page has its own; none pile up."""
    site = Site(club_store, free_port())
    squads = [create_squad_link(club_store, key, "x", NOW) for key in ("u13-kestrels", "u12-herons")]
    first, second = (f"{site.address}/ground/{secret}" for secret in squads)
    site.begin()
    phone = browser.new_context(viewport={"width": 360, "height": 740})
    try:
        page = phone.new_page()
        page.goto(first)
        page.locator(KEPT).wait_for()
        assert page.evaluate(FONTS) > 0
        assert len(styles(page)) == 1
        before = styles(page)[0]

        upgrade(site, web, "once")
        page.goto(second)
        page.locator(KEPT).wait_for()
        assert page.evaluate(COLOUR) == "once"
        assert len(set(styles(page))) == 2

        phone.set_offline(True)
        page.goto(first)
        assert page.locator("[data-offline]").is_visible()
        assert page.locator("link[rel=stylesheet]").get_attribute("href") == before
        assert page.evaluate(COLOUR) == ""
        assert page.evaluate(FONTS) > 0
        page.goto(second)
        assert page.evaluate(COLOUR) == "once"
        page.goto(f"{site.address}/me")
        page.get_by_role("heading", name="No signal").wait_for()
        assert page.evaluate(FONTS) > 0

        phone.set_offline(False)
        for word in ("twice", "thrice"):
            upgrade(site, web, word)
            page.goto(second)
            page.locator(KEPT).wait_for()
            assert page.evaluate(COLOUR) == word
        page.wait_for_function("navigator.serviceWorker.ready.then(r => !r.installing)")
        assert len(styles(page)) == 2
        assert before not in styles(page)

        phone.set_offline(True)
        page.goto(first)
        assert page.evaluate(COLOUR) == "thrice"
        assert page.evaluate(FONTS) > 0
    finally:
        phone.close()
        site.end()
