"""A press that leads to another page waits for it, however late the page comes."""

from __future__ import annotations

import ast
import http.client
import threading
import time
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from clubplanner.resources import resource_folder
from tests.browser.late import late_answers
from tests.browser.pressing import PAGES_PATIENCE_MS, arriving, press
from tests.ports import HOST, free_port

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Browser, Page

FIRST = b"""<!doctype html><title>First</title>
<a href="/next">Link</a> <a href="#low">Within</a> <h1 id="low">Low</h1>
<form action="/next"><button>Send</button><input type="submit" value="Send it"></form>
<form id="held" action="/next"><button>Held</button></form>
<details><summary>More</summary>Words</details>
<script>held.addEventListener("submit", (event) => event.preventDefault());
document.addEventListener("keydown", ({key}) => { if (key === "n") location.assign("/next"); });
</script>"""
SLOW = b'<!doctype html><title>Slow</title><a href="/next">Link</a><img alt="" src="/picture">'
REST = b"<h1>Rest</h1>"
NEXT = b"<!doctype html><title>Next</title>" + b"<!-- long -->" * 500 + REST
BY_TIME = {"wait_for_timeout", "sleep"}
PAST_THE_ONE_PLACE = {"click", "dblclick", "tap"}
LATE_S = 0.3


class Site:
    """A server that holds the rest of all but its first pages back until it is let go."""

    def __init__(self) -> None:
        self.let_go = threading.Event()
        site = self

        class Handler(BaseHTTPRequestHandler):
            def do_GET(self) -> None:
                body = {"/": FIRST, "/slow": SLOW}.get(self.path)
                is_late = body is None
                body = body or NEXT
                self.send_response(200)
                self.send_header("Content-Type", "text/html")
                self.send_header("Content-Length", str(len(body)))
                self.end_headers()
                begun = body.index(REST) if is_late else 0
                self.wfile.write(body[:begun])
                if is_late:
                    site.let_go.wait(60)
                self.wfile.write(body[begun:])

            def log_message(self, *_words: object) -> None:
                pass

        self.server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
        self.address = f"http://127.0.0.1:{self.server.server_port}"

    def let_go_soon(self) -> None:
        """Answer a while after this."""
        threading.Timer(LATE_S, self.let_go.set).start()


@pytest.fixture
def site() -> Iterator[Site]:
    """Give a site whose next page is half held back."""
    found = Site()
    thread = threading.Thread(target=found.server.serve_forever)
    thread.start()
    yield found
    found.let_go.set()
    found.server.shutdown()
    thread.join()
    found.server.server_close()


@pytest.fixture
def page(site: Site, browser: Browser) -> Iterator[Page]:
    """Give the first page."""
    context = browser.new_context()
    page = context.new_page()
    page.goto(site.address)
    yield page
    context.close()


def has_come(page: Page) -> bool:
    """Tell whether the whole of the next page is there, without waiting for it."""
    return page.locator("h1", has_text="Rest").count() == 1


@pytest.mark.browser
def test_a_bare_click_does_not_wait(site: Site, page: Page) -> None:
    """Why there is a place for it: what is asked next is asked of half a page, or of none."""
    page.get_by_role("link", name="Link").click()
    assert not site.let_go.is_set()
    assert not has_come(page)


@pytest.mark.browser
@pytest.mark.parametrize(
    ("role", "name"), [("link", "Link"), ("button", "Send"), ("button", "Send it")]
)
def test_what_leads_away_is_waited_for(site: Site, page: Page, role: str, name: str) -> None:
    """The next page is there after a link and after a form that is sent."""
    site.let_go_soon()
    press(page.get_by_role(role, name=name, exact=True))  # type: ignore[arg-type]
    assert has_come(page)


@pytest.mark.browser
def test_what_stays_is_pressed_at_once(site: Site, page: Page) -> None:
    """A place within the page, what folds, and a form that a script holds back."""
    press(page.get_by_role("link", name="Within"))
    press(page.get_by_text("More"))
    press(page.get_by_role("button", name="Held"), stays=True)
    assert page.title() == "First"
    assert page.get_by_text("Words").is_visible()
    assert not site.let_go.is_set()


@pytest.mark.browser
def test_the_end_of_the_page_that_is_left_is_not_taken_for_the_next(site: Site, page: Page) -> None:
    """A page that is still loading is loaded first."""
    page.goto(f"{site.address}/slow", wait_until="commit")
    site.let_go_soon()
    press(page.get_by_role("link", name="Link"))
    assert has_come(page)


@pytest.mark.browser
def test_where_a_script_leads_is_waited_for(site: Site, page: Page) -> None:
    """What a key or a drag begins."""
    site.let_go_soon()
    with arriving(page):
        page.keyboard.press("n")
    assert has_come(page)


def test_answers_come_late_and_whole(site: Site) -> None:
    """What stands in between to hold answers back changes none, and is silent for who is gone."""
    with late_answers(200) as flags:
        proxy = flags[0].rpartition("/")[2]
        began = time.monotonic()
        line = http.client.HTTPConnection(proxy, timeout=60)
        line.request("GET", f"{site.address}/")
        assert line.getresponse().read() == FIRST
        assert time.monotonic() - began >= 0.2
        line.request("GET", f"http://{HOST}:{free_port()}/")
        with pytest.raises(http.client.RemoteDisconnected):
            line.getresponse()
        line.close()
    with late_answers(0) as none:
        assert none == []


def test_the_patience_of_pages_is_the_one_that_is_drawn_out() -> None:
    """By its number, which stands in the script."""
    script = resource_folder("web") / "static" / "js" / "live_fits.js"
    assert f"const PATIENCE_MS = {PAGES_PATIENCE_MS};" in script.read_text(encoding="utf-8")


def calls(path: Path) -> Iterator[tuple[str, str]]:
    """Give what is called in a file, and on what."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
            yield node.func.attr, ast.unparse(node.func.value)


def test_everything_is_pressed_in_one_place_and_nothing_waits_by_time() -> None:
    """In these tests; points of a picture are no element, so the mouse goes there by itself."""
    here = Path(__file__)
    for path in here.parent.glob("*.py"):
        if path.name in {"pressing.py", "late.py", here.name}:
            continue
        for name, of in calls(path):
            assert name not in BY_TIME, f"{path.name} waits by time: {of}.{name}"
            is_past = name in PAST_THE_ONE_PLACE and not of.endswith("mouse")
            assert not is_past, f"{path.name} presses by itself: {of}.{name}"
