"""An upgrade of the static files: seen at once, and pages kept from before still look right."""

from __future__ import annotations

import shutil
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

import clubplanner
from clubplanner.resources import resource_folder
from clubplanner.services.addresses.links import create_squad_link
from tests.builders import NOW
from tests.ports import free_port
from tests.serving import serving

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Browser, BrowserContext, Page

    from clubplanner.store.engine import Store

pytestmark = pytest.mark.browser

PACKAGE = Path(clubplanner.__file__).parent
KEPT = "html[data-kept=yes]"
COLOUR = "getComputedStyle(document.documentElement).getPropertyValue('--upgraded').trim()"
FONTS = "document.fonts.ready.then(f => [...f].filter(x => x.status == 'loaded').length)"
PARTS = """async () => {
  const cache = await caches.open("parts-1");
  return (await cache.keys()).map((key) => new URL(key.url).pathname);
}"""


@pytest.fixture
def phone(browser: Browser) -> Iterator[BrowserContext]:
    """Give a phone of its own."""
    context = browser.new_context(viewport={"width": 360, "height": 740})
    yield context
    context.close()


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Give a copy of the package, compiled as it is, whose static files may be changed."""
    package = tmp_path / "copy" / "clubplanner"
    shutil.copytree(PACKAGE, package)
    for name in ("web", "seed_data"):
        shutil.copytree(resource_folder(name), package / name, dirs_exist_ok=True)
    return package.parent


def upgrade(folder: Path, word: str) -> None:
    """Change the style sheet."""
    style = folder / "clubplanner" / "web" / "static" / "css" / "pages.css"
    style.write_text(style.read_text(encoding="utf-8") + f":root {{ --upgraded: {word}; }}\n")


def styles(page: Page) -> list[str]:
    """Return the style sheets that are kept on the phone."""
    kept: list[str] = page.evaluate(PARTS)
    return [path for path in kept if path.endswith("pages.css")]


def see(page: Page, address: str) -> None:
    """Open a page and wait until it is kept."""
    page.goto(address)
    page.locator(KEPT).wait_for()


def test_an_upgrade_is_seen_at_once_and_kept_pages_stay_whole(
    phone: BrowserContext, club_store: Store, store_path: Path, folder: Path
) -> None:
    """New styles with the next page; without signal each page has its own; none pile up."""
    port = free_port()
    squads = [
        create_squad_link(club_store, key, "x", NOW) for key in ("u13-kestrels", "u12-herons")
    ]
    first, second = (f"http://127.0.0.1:{port}/ground/{secret}" for secret in squads)
    serve = partial(serving, store_path, "--port", str(port), folder=folder)
    page = phone.new_page()
    with serve():
        see(page, first)
        assert page.evaluate(FONTS) > 0
        (before,) = styles(page)

    upgrade(folder, "once")
    with serve():
        see(page, second)
        assert page.evaluate(COLOUR) == "once"
        assert len(styles(page)) == 2

    page.goto(first)
    assert page.locator("[data-offline]").is_visible()
    assert page.locator("link[rel=stylesheet]").get_attribute("href") == before
    assert page.evaluate(COLOUR) == ""
    assert page.evaluate(FONTS) > 0
    page.goto(second)
    assert page.evaluate(COLOUR) == "once"
    page.goto(f"http://127.0.0.1:{port}/me")
    page.get_by_role("heading", name="No signal").wait_for()
    assert page.evaluate(FONTS) > 0

    for word in ("twice", "thrice"):
        upgrade(folder, word)
        with serve():
            see(page, second)
            assert page.evaluate(COLOUR) == word
    assert len(styles(page)) == 2
    assert before not in styles(page)

    stand_in = page.evaluate("fetch('/static/0123456789ab/css/pages.css').then((r) => r.text())")
    assert "--upgraded: thrice" in stand_in
