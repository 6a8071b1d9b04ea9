"""What a coach's and a family's pages cost a phone with a poor signal, beside the words alone.

    python -m tests.benchmarks.phone

Chromium's own emulation: 400 ms before each answer begins, 400 kbit/s, 360 px. Cold has nothing
kept; warm has been there once; offline is the page that the service worker kept. Beside each: a
plain HTML page with the same words, served by the same server. The emulation does not reach into
service workers, so cold and warm are measured without one: as the network first takes them.
"""

from __future__ import annotations

import shutil
import statistics
import tempfile
from dataclasses import dataclass
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING

from flask import Response
from playwright.sync_api import sync_playwright

from clubplanner.store.engine import open_store
from clubplanner.store.upkeep.migrate import migrate
from clubplanner.webapp.base.security import for_anybody
from tests.browser.conftest import FLAGS, NAMES
from tests.browser.screenshots import SQUAD, make_club, served
from tests.ports import free_port

if TYPE_CHECKING:
    from playwright.sync_api import Browser, BrowserContext, CDPSession, Page

    from tests.browser.screenshots import Club

LATENCY_MS = 400
BYTES_A_SECOND = 400_000 / 8
TIMES = 5
TIMING = """() => {
  const [page] = performance.getEntriesByType('navigation');
  const paint = performance.getEntriesByName('first-contentful-paint')[0];
  return [paint ? paint.startTime : page.loadEventEnd, page.loadEventEnd];
}"""


@dataclass(frozen=True, slots=True)
class Visit:
    """What one visit took: bytes and requests over the network, milliseconds to paint and load."""

    size: int
    requests: int
    paint_ms: float
    load_ms: float


class Meter:
    """Counts what goes over the network."""

    def __init__(self, session: CDPSession) -> None:
        self.size = self.requests = 0
        session.on("Network.loadingFinished", self._finish)

    def _finish(self, event: dict[str, float]) -> None:
        size = int(event["encodedDataLength"])
        self.size += size
        self.requests += size > 0  # what was kept takes nothing

    def visit(self, page: Page, address: str) -> Visit:
        """Open an address and say what it took."""
        self.size = self.requests = 0
        page.goto(address, wait_until="load")
        page.wait_for_timeout(300)
        paint_ms, load_ms = page.evaluate(TIMING)
        return Visit(self.size, self.requests, paint_ms, load_ms)


def slow_page(context: BrowserContext) -> tuple[Page, Meter]:
    """Open a page with the poor signal."""
    page = context.new_page()
    session = context.new_cdp_session(page)
    session.send("Network.enable")
    session.send(
        "Network.emulateNetworkConditions",
        {
            "offline": False,
            "latency": LATENCY_MS,
            "downloadThroughput": BYTES_A_SECOND,
            "uploadThroughput": BYTES_A_SECOND,
        },
    )
    return page, Meter(session)


def open_phone(
    browser: Browser, club: Club, address: str, who: str, workers: str
) -> BrowserContext:
    """Give a phone of its own."""
    context = browser.new_context(
        viewport={"width": 360, "height": 740},
        service_workers="allow" if workers == "allow" else "block",
    )
    if who:
        context.add_cookies([{"name": "person", "value": club.secrets[who], "url": address}])
    return context


def measure(browser: Browser, club: Club, address: str, who: str, path: str) -> list[list[Visit]]:
    """Measure a page cold and warm."""
    visits: list[list[Visit]] = [[], []]
    for _ in range(TIMES):
        context = open_phone(browser, club, address, who, "block")
        page, meter = slow_page(context)
        for kind in visits:
            kind.append(meter.visit(page, address + path))
        context.close()
    return visits


def measure_offline(browser: Browser, club: Club, address: str, who: str, path: str) -> list[Visit]:
    """Measure a page that was kept, without any network."""
    context = open_phone(browser, club, address, who, "allow")
    page = context.new_page()
    page.goto(address + path)
    page.locator("html[data-kept=yes]").wait_for()
    page.goto(address + path)
    page.wait_for_timeout(500)
    context.set_offline(True)
    session = context.new_cdp_session(page)
    session.send("Network.enable")
    meter = Meter(session)
    found = [meter.visit(page, address + path) for _ in range(TIMES)]
    context.close()
    return found


def words_alone(browser: Browser, club: Club, address: str, who: str, path: str) -> str:
    """Return the words of a page as plain HTML."""
    context = open_phone(browser, club, address, who, "block")
    page = context.new_page()
    page.goto(address + path)
    words = str(page.evaluate("document.querySelector('main').textContent"))
    context.close()
    lines = "".join(f"<p>{escape(line.strip())}</p>" for line in words.splitlines() if line.strip())
    return (
        f"<!doctype html><meta name=viewport content='width=device-width'><title>x</title>{lines}"
    )


def tell(name: str, kind: str, visits: list[Visit]) -> None:
    """Print the medians of some visits."""
    size, requests, paint_ms, load_ms = (
        statistics.median(getattr(visit, what) for visit in visits)
        for what in ("size", "requests", "paint_ms", "load_ms")
    )
    print(
        f"{name:14} {kind:8} {size / 1000:6.1f} kB {requests:4.0f} requests "
        f"{paint_ms:6.0f} ms to paint {load_ms:6.0f} ms to load",
        flush=True,
    )


def main() -> None:
    """Serve the invented club and measure its pages."""
    path = next((found for name in NAMES if (found := shutil.which(name))), None)
    if path is None:
        raise SystemExit("There is no Chromium on this machine (Debian: apt-get install chromium).")
    with tempfile.TemporaryDirectory() as folder:
        store = open_store(f"sqlite:///{Path(folder) / 'club.sqlite'}")
        migrate(store)
        port = free_port()
        address = f"http://127.0.0.1:{port}"
        club = make_club(store, address, 3.0)
        plain: dict[str, str] = {}
        club.app.add_url_rule(
            "/plain/<name>", "plain", for_anybody(lambda name: Response(plain[name]))
        )
        pages = {
            "coach": ("coach", "/coach"),
            "fits": ("coach", f"/coach/squads/{SQUAD}/fits"),
            "weeks": ("coach", "/coach/weeks"),
            "families": ("", f"/ground/{club.values['secret']}"),
        }
        with served(club.app, port), sync_playwright() as playwright:
            browser = playwright.chromium.launch(executable_path=path, args=list(FLAGS))
            for name, (who, where) in pages.items():
                plain[name] = words_alone(browser, club, address, who, where)
                cold, warm = measure(browser, club, address, who, where)
                tell(name, "cold", cold)
                tell(name, "warm", warm)
                tell(name, "offline", measure_offline(browser, club, address, who, where))
                tell(name, "words", measure(browser, club, address, "", f"/plain/{name}")[1])
            browser.close()
        store.close()


if __name__ == "__main__":
    main()
