"""In the rain at 17:40: the groundskeeper closes a pitch with wet fingers, and opens it again."""

from __future__ import annotations

import threading
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING

import pytest
from werkzeug.serving import make_server

from clubplanner.config import Config
from clubplanner.domain.club.people import Role
from clubplanner.services.people.people import PersonDraft, add_person
from clubplanner.services.people.ways_in.browsers import open_browser
from clubplanner.webapp import create_app
from tests.browser.pressing import press
from tests.small_club import HARRIERS, KESTRELS, TOP, book, kept_bookings, load_small_club

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Browser, Page

    from clubplanner.store.engine import Store

pytestmark = pytest.mark.browser

AT_1740 = datetime(2026, 11, 25, 17, 40, tzinfo=UTC)
FINGER_PX = 44
"""Least height of what a finger meets: WCAG 2.2, success criterion 2.5.5 (44 by 44 CSS pixels)."""


@dataclass(slots=True)
class Tapper:
    """A groundskeeper who taps; every tap is counted and has to meet something large enough."""

    page: Page
    taps: int = 0

    def press(self, role: str, name: str) -> None:
        """Tap the first button or link of a name."""
        found = self.page.get_by_role(role, name=name).first  # type: ignore[arg-type]
        found.scroll_into_view_if_needed()
        press(found, is_tap=True)
        self.taps += 1


@pytest.fixture
def phone(empty_store: Store, browser: Browser) -> Iterator[tuple[Store, Tapper]]:
    """Serve a club whose two squads train from 18:00 on the top pitch, to a telephone."""
    load_small_club(empty_store)
    book(empty_store, KESTRELS, "third-1")
    book(empty_store, HARRIERS, "third-2", end_min=19 * 60)
    number = add_person(empty_store, PersonDraft("Jo", Role.GROUNDSKEEPER, "", ()), AT_1740)
    with empty_store.write() as session:
        secret = open_browser(session, number, "A phone", AT_1740)
    app = create_app(empty_store, Config("", "http://127.0.0.1"), lambda: AT_1740)
    server = make_server("127.0.0.1", 0, app, threaded=True)
    address = f"http://127.0.0.1:{server.server_port}"
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    context = browser.new_context(viewport={"width": 360, "height": 740}, has_touch=True)
    context.add_cookies([{"name": "person", "value": secret, "url": address}])
    page = context.new_page()
    page.goto(f"{address}/desk/evening")
    yield empty_store, Tapper(page)
    context.close()
    server.shutdown()
    thread.join()
    server.server_close()


def _places(store: Store) -> dict[str, str]:
    return {kept.holder: kept.area for kept in kept_bookings(store)}


def test_three_taps_close_a_pitch_and_two_bring_everybody_back(
    phone: tuple[Store, Tapper],
) -> None:
    """From the evening page; nothing is typed, nothing lies beside the screen."""
    store, keeper = phone
    before = _places(store)
    keeper.press("link", "Close Top pitch")
    keeper.press("button", "Waterlogged")
    assert _fits(keeper.page)
    keeper.press("button", "Close it and settle these sessions")
    assert keeper.taps == 3
    assert _places(store)["waterlogged"] == f"{TOP}/whole"
    assert all(_places(store).get(holder) != place for holder, place in before.items())
    keeper.page.goto(keeper.page.url.replace("/season/closures", "/evening"))
    keeper.taps = 0
    keeper.press("link", "Open again")
    assert _fits(keeper.page)
    button = keeper.page.get_by_role("button", name="Open it and bring back the ticked")
    box = button.bounding_box()
    assert box is not None
    assert box["height"] >= FINGER_PX
    keeper.press("button", "Open it and bring back the ticked")
    assert keeper.taps == 2
    assert "2 sessions are back where they were." in keeper.page.inner_text("main")
    assert _places(store) == before


def test_the_wrong_pitch_is_taken_back_with_one_tap(phone: tuple[Store, Tapper]) -> None:
    """The page after the closing offers it to the groundskeeper, too."""
    store, keeper = phone
    before = _places(store)
    keeper.press("link", "Close Top pitch")
    keeper.press("button", "Frozen")
    keeper.press("button", "Close it and settle these sessions")
    assert _places(store) != before
    keeper.press("button", "Take it back")
    assert _places(store) == before


def _fits(page: Page) -> bool:
    return bool(page.evaluate("document.documentElement.scrollWidth <= window.innerWidth"))
