"""Notices to a phone in a real browser: the button, what the phone shows, and where a tap leads.

The browser's own push service is out of reach here, so its answer to "subscribe" is ours, and
messages are put to the service worker by the browser's own protocol for developers.
"""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import pytest
from playwright.sync_api import expect

from clubplanner.services.addresses.links import create_squad_link
from tests.browser.pressing import PATIENCE_MS, press
from tests.browser.served import Site
from tests.builders import NOW
from tests.ports import free_port
from tests.push_service import Phone, Service
from tests.small_club import KESTRELS, book, load_small_club

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Browser, BrowserContext, CDPSession, Page

    from clubplanner.store.engine import Store

pytestmark = pytest.mark.browser

WISH = Phone().wish(Service(None, 443))  # type: ignore[arg-type]
ANSWER = {
    "endpoint": WISH.endpoint,
    "keys": {"p256dh": WISH.public_key, "auth": WISH.auth},
}
STAND_IN = """
  const answer = ANSWER;
  const subscription = {endpoint: answer.endpoint, toJSON: () => answer};
  PushManager.prototype.subscribe = async (wish) => {
    if (!wish.userVisibleOnly || wish.applicationServerKey.length !== 65) throw new Error("wish");
    localStorage.setItem("subscribed", "yes");
    return subscription;
  };
  PushManager.prototype.getSubscription = async () =>
    localStorage.getItem("subscribed") ? subscription : null;
""".replace("ANSWER", json.dumps(ANSWER))
ON, OFF = "Tell this phone when tonight changes", "Tell this phone no more"
SHOWN = """async () => {
  const registration = await navigator.serviceWorker.ready;
  const shown = await registration.getNotifications();
  return shown.map(({title, body, tag, silent}) => ({title, body, tag, silent}));
}"""

SHOWN_AT_LAST = f"""async ([wished, patience]) => {{
  const until = performance.now() + patience;
  for (;;) {{
    const shown = await ({SHOWN})();
    const said = shown.map(({{tag, body}}) => `${{tag}}: ${{body}}`).sort();
    if (said.join() === wished.join() || performance.now() > until) return shown;
    await new Promise((done) => setTimeout(done, 50));
  }}
}}"""


@pytest.fixture
def site(empty_store: Store) -> Iterator[Site]:
    """Give the small club, served, with a session tonight."""
    load_small_club(empty_store)
    book(empty_store)
    served = Site(empty_store, free_port())
    served.begin()
    yield served
    served.end()


@pytest.fixture
def address(site: Site) -> str:
    """Give the Kestrels' address."""
    return f"{site.address}/ground/{create_squad_link(site.store, KESTRELS, 'a parent', NOW)}"


@pytest.fixture
def phone(browser: Browser, site: Site) -> Iterator[BrowserContext]:
    """Give a phone whose owner lets the page show notices."""
    context = browser.new_context(viewport={"width": 360, "height": 740}, has_touch=True)
    context.grant_permissions(["notifications"], origin=site.address)
    yield context
    context.close()


def open_page(phone: BrowserContext, address: str) -> Page:
    """Open a page whose browser has a push service that answers."""
    page = phone.new_page()
    page.add_init_script(STAND_IN)
    page.goto(address)
    return page


class Worker:
    """A page's service worker, as the browser's developers reach it."""

    def __init__(self, page: Page, address: str) -> None:
        self.origin = address.partition("/ground")[0]
        self.session: CDPSession = page.context.new_cdp_session(page)
        self.registrations: list[str] = []
        self.session.on("ServiceWorker.workerRegistrationUpdated", self._note)
        self.session.send("ServiceWorker.enable")
        page.wait_for_function("navigator.serviceWorker.ready.then(() => true)")
        self.page = page

    def _note(self, update: dict[str, Any]) -> None:
        self.registrations += [each["registrationId"] for each in update["registrations"]]

    def deliver(self, **notice: Any) -> None:
        """Put a message to the worker as if a push service had sent it."""
        message = {"title": "U12 Kestrels", "lang": "en", "date": "2026-11-25", **notice}
        self.session.send(
            "ServiceWorker.deliverPushMessage",
            {
                "origin": self.origin,
                "registrationId": self.registrations[-1],
                "data": json.dumps(message),
            },
        )

    def shown(self, **notices: str) -> dict[str, dict[str, Any]]:
        """Wait until the phone shows these notices, by tag, and no others; return them."""
        wished = sorted(f"{tag.replace('_', '-')}: {body}" for tag, body in notices.items())
        shown = self.page.evaluate(SHOWN_AT_LAST, [wished, PATIENCE_MS])
        assert sorted(f"{each['tag']}: {each['body']}" for each in shown) == wished
        return {each["tag"]: each for each in shown}


def test_the_button_switches_notices_on_and_off(phone: BrowserContext, address: str) -> None:
    """The page knows by itself whether this very browser is told."""
    page = open_page(phone, address)
    press(page.get_by_role("button", name=ON))
    expect(page.get_by_text("This phone is told when something changes")).to_be_visible()
    expect(page.get_by_role("button", name=ON)).to_be_hidden()
    page.reload()
    press(page.get_by_role("button", name=OFF))
    expect(page.get_by_text("This phone is told no more")).to_be_visible()
    expect(page.get_by_role("button", name=ON)).to_be_visible()


def test_a_browser_whose_service_is_out_of_reach_says_so(
    phone: BrowserContext, address: str
) -> None:
    """Nothing is switched on then, and it can be tried again."""
    page = phone.new_page()
    page.add_init_script("PushManager.prototype.subscribe = () => Promise.reject(new Error())")
    page.goto(address)
    press(page.get_by_role("button", name=ON), stays=True)
    expect(page.get_by_text("could not be reached, so nothing was switched on")).to_be_visible()
    expect(page.get_by_role("button", name=ON)).to_be_enabled()


def test_without_scripts_there_is_no_button_that_does_nothing(
    browser: Browser, address: str
) -> None:
    """The offer is not shown."""
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(address)
    expect(page.get_by_role("button", name=ON)).to_be_hidden()
    expect(page.get_by_role("heading", name="On this phone")).to_be_hidden()
    context.close()


def test_a_browser_that_may_not_says_why(browser: Browser, site: Site, address: str) -> None:
    """Its owner said no; where that is changed stands there."""
    context = browser.new_context()
    page = context.new_page()
    page.add_init_script("Object.defineProperty(Notification, 'permission', {value: 'denied'})")
    page.goto(address)
    expect(page.get_by_text("Allow them in its settings")).to_be_visible()
    expect(page.get_by_role("button", name=ON)).to_be_hidden()
    context.close()


def test_the_phone_shows_what_comes_and_a_tap_leads_to_the_page(
    phone: BrowserContext, address: str
) -> None:
    """A later word about a booking takes the place of an earlier; one sent twice is shown once."""
    page = open_page(phone, address)
    press(page.get_by_role("button", name=ON))
    page.get_by_role("button", name=OFF).wait_for()
    place = page.locator("[data-tell]").get_attribute("data-place")
    worker = Worker(page, address)
    worker.deliver(body="Moved", tag="booking-1", number=1, place=place)
    assert not worker.shown(booking_1="Moved")["booking-1"]["silent"]
    worker.deliver(body="Off", tag="booking-1", number=2, place=place)
    assert not worker.shown(booking_1="Off")["booking-1"]["silent"]
    worker.deliver(body="Off", tag="booking-1", number=2, place=place)
    worker.deliver(body="Moved", tag="booking-1", number=1, place=place)
    worker.deliver(body="On", tag="booking-2", number=3, place=place)
    found = worker.shown(booking_1="Off", booking_2="On")
    assert found["booking-1"]["silent"], "what is sent twice does not ring twice"
    tap = "(place) => lead({ place, date: '2026-11-25' }).catch(() => undefined)"
    phone.service_workers[0].evaluate(tap, place)  # only a finger may bring a window to the front
    page.wait_for_url(f"{address}?date=2026-11-25")
