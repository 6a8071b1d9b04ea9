"""What looks at every page sees what is wrong with one."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from clubplanner.resources import resource_folder
from tests.browser.looks import (
    ALIKE,
    DESK_PX,
    PAST_EVERY,
    Eye,
    follow_keys,
    measure_narrow,
    measure_presses,
    measure_width,
    open_browser,
    paper_faults,
    screens_of,
    words_faults,
)

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.browser

PAGE = """<!doctype html><html lang="en"><head><title>A page</title><style>
  body {{ background: white; color: black; }}
  a:focus, input:focus {{ outline: 2px solid; }}
  input {{ height: 44px; }}
  @media (prefers-color-scheme: dark) {{
    body {{ background: black; color: white; }} a {{ color: #8cf; }} .dim {{ color: #444; }}
  }}
</style></head><body>
  <a class="skip" href="#main">Skip</a>
  <nav aria-label="Places">
    <a href="/1">1</a> <a href="/2">2</a> <a href="/3">3</a> <a href="/4">4</a>
  </nav>
  <main id="main"><h1>A page</h1><p>Words.</p><input type="date" aria-label="Day">{more}</main>
</body></html>"""
ON_FRAMES = ("requestAnimationFrame", "IntersectionObserver", "ResizeObserver")
"""What calls a script as a page is drawn."""
LINK = '<p><a href="/three">Three</a></p>'


@pytest.fixture
def page(still_browser: Browser) -> Iterator[Page]:
    """Give an empty page that can be audited, in the browser that looks at every page."""
    context = open_browser(still_browser, has_axe=True)
    yield context.new_page()
    context.close()


def put(page: Page, more: str = "") -> None:
    """Show the page with something more."""
    show(page, PAGE.format(more=more))


def show(page: Page, text: str) -> None:
    """Show a page as it comes from a server."""
    page.emulate_media(color_scheme="light")
    page.set_viewport_size(DESK_PX)
    page.unroute_all()
    page.route("**/*", lambda way: way.fulfill(body=text, content_type="text/html"))
    page.goto("http://club.example/")


def test_a_good_page_has_no_faults(page: Page) -> None:
    """By any of the looks."""
    put(page, LINK)
    eye = Eye()
    assert words_faults(page) == list(follow_keys(page)) == eye.audit(page) == []
    assert eye.audit_dark(page) == [*measure_width(page), *measure_narrow(page)] == []


def test_what_is_wrong_in_the_dark_alone_is_seen(page: Page) -> None:
    """On a page that comes late too, where all else is known from others."""
    eye = Eye()
    for _ in range(ALIKE + 1):
        put(page, LINK)
        assert eye.audit_dark(page) == []
    put(page, '<p class="dim">Hardly there</p>')
    assert eye.audit(page) == []
    (told,) = eye.audit_dark(page)
    assert "color-contrast" in told


def test_colours_that_cannot_be_read_are_seen_on_a_late_page(page: Page) -> None:
    """In the light, among combinations of colours that are known from others."""
    eye = Eye()
    for _ in range(ALIKE + 1):
        put(page, LINK)
        assert eye.audit(page) == []
    put(page, f'{LINK}<p style="color: #ccc">Hardly there</p>')
    (told,) = eye.audit(page)
    assert "color-contrast" in told


def test_what_would_be_pale_on_paper_is_seen(page: Page) -> None:
    """Light words lose their ground in a printer, unless it is told to keep it."""
    pale = '<b style="background: black; color: white{}">Off</b>'
    put(page, pale.format(""))
    assert paper_faults(page) == ["Off"]
    for kept in ("; print-color-adjust: exact", "; visibility: hidden"):
        put(page, pale.format(kept))
        assert paper_faults(page) == []


def test_the_audit_sees_words_that_are_missing(page: Page) -> None:
    """A field without a name, a drawing without words, a second main part."""
    put(page, '<input><svg role="img"></svg><main></main>')
    assert "label" in Eye().audit(page)[0]
    assert words_faults(page) == ["not one main part", "a drawing without words"]


def test_the_keyboard_sees_what_is_wrong_with_a_stop(page: Page) -> None:
    """Stops without a sign, far down the page too, out of order, and no way past the navigation."""
    unseen = "<a href='/x' style='outline: none'>Unseen</a>"
    for more in (unseen, LINK * 50 + unseen):
        put(page, more)
        (told,) = follow_keys(page)
        assert "no sign of the keyboard" in told
        assert "/x" in told
    put(page, '<a href="/y" tabindex="2">First</a>')
    assert "a stop out of order" in list(follow_keys(page))
    show(page, PAGE.format(more=LINK).replace('class="skip"', ""))
    assert list(follow_keys(page)) == ["the first stop is not the way past the navigation"]
    past = "the way past the navigation does not lead past it"
    show(page, PAGE.format(more=LINK).replace('id="main"', ""))
    assert list(follow_keys(page)) == [past]
    eye, stuck = Eye(), "onclick='return false'"
    for number in range(PAST_EVERY + 1):
        show(page, PAGE.format(more=LINK).replace('class="skip"', f'class="skip" {stuck}'))
        is_gone = number % PAST_EVERY == 0
        assert list(eye.follow_keys(page)) == ([past] if is_gone else [])


def test_widths_and_lengths_are_measured(page: Page) -> None:
    """Wide at a desk, on a phone, with large text; and how many screens a page is long."""
    put(page, '<div style="width: 400px; height: 2220px"></div>')
    assert list(measure_width(page)) == []
    assert screens_of(page, {"width": 1280, "height": 740}) > 3
    assert [fault.split(" px")[1] for fault in measure_narrow(page)] == [" wide at 320"]
    put(page, '<button style="height: 30px">Low</button><button style="height: 44px">High</button>')
    assert [fault.rpartition(": ")[2] for fault in measure_presses(page)] == ["30.0 px high"]
    put(page, '<div style="width: 40rem; height: 1px"></div>')
    assert [fault.split(" px")[-1] for fault in measure_narrow(page)][
        -1
    ] == " with text twice as large"


def test_no_script_of_ours_waits_until_a_page_is_drawn() -> None:
    """What came only then would not be looked at: the browser that looks at pages draws none."""
    scripts = {path.name: path.read_text() for path in resource_folder("web").rglob("*.js")}
    assert len(scripts) > 10
    assert [name for name, text in scripts.items() if any(word in text for word in ON_FRAMES)] == []
