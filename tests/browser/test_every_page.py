"""Every page for everybody who may open it: audited, never scrolling sideways, none too long."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from axe_playwright_python.base import AXE_SCRIPT, AxeResults
from playwright.sync_api import expect

from clubplanner.store.engine import open_store
from clubplanner.store.migrate import migrate
from tests.browser.screenshots import (
    STRANGER,
    Club,
    Shot,
    list_shots,
    make_club,
    served,
    take,
    write_index,
)
from tests.ports import free_port

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from playwright.sync_api import Browser, BrowserContext, Page

pytestmark = pytest.mark.browser

WHO = (STRANGER, "secretary", "coach", "groundskeeper")
PHONE_PX = (360, 740)
MOST_SCREENS = 4
LISTS = "a list of the whole club with a form in each line, sent a leaf at a time"
LONG = {
    "share_outs-tonight": "who comes, the ground, before and after, on one page on purpose",
    "people-listing": LISTS,
    "squads-listing": LISTS,
    "calendars-listing": LISTS,
    "season-next_season": "what becomes of every squad and stretch, asked once a year, at a desk",
    "desk-evening": "the whole evening of a venue: every pitch drawn, the table and the forms",
}
"""Pages that are longer than `MOST_SCREENS` on a phone, and why; by endpoint, of the secretary or
the groundskeeper: none of a coach's or of a family's is among them."""
READ = frozenset({"guide-chapter"})
"""Pages of whoever that are read as texts are, with what they hold listed at their head."""
MOST_STOPS = 40
"""Stops of the keyboard that are followed on each page."""
LOOK = """() => {
  const faults = [];
  const count = (what) => document.querySelectorAll(what).length;
  if (count('main') !== 1) faults.push('not one main part');
  if (count('h1') !== 1) faults.push(`${count('h1')} first headings`);
  if (!document.documentElement.lang) faults.push('no language');
  const names = [...document.querySelectorAll('nav')].map((nav) =>
    nav.getAttribute('aria-label') || nav.getAttribute('aria-labelledby') || '');
  if (names.includes('')) faults.push('a navigation without a name');
  if (new Set(names).size < names.length) faults.push('two navigations of one name');
  for (const svg of document.querySelectorAll('svg')) {
    if (svg.closest('[aria-hidden=true]')) continue;
    const ids = (svg.getAttribute('aria-labelledby') || '').split(' ').filter(Boolean);
    const words = ids.map((id) => document.getElementById(id)?.textContent ?? '').join(' ');
    const inside = svg.querySelector(':scope > title')?.textContent ?? '';
    const name = svg.getAttribute('aria-label') || words || inside;
    const isTold = ['img', 'group'].includes(svg.getAttribute('role')); // a group of its handles
    if (!isTold || !name.trim()) faults.push('a drawing without words');
  }
  return faults;
}"""
THUMB_PX = 44
"""How high what is pressed is on a phone (WCAG 2.2, success criterion 2.5.5); links in a text and
ticks of a list may be lower."""
PRESSED = """height => [...document.querySelectorAll(
    'button, select, summary, .pill, .top nav a, input:not([type=checkbox], [type=radio])')]
  .filter((one) => one.getClientRects().length && !one.closest('.unseen, svg'))
  .filter((one) => one.getBoundingClientRect().height < height - 0.5)
  .map((one) => `${one.outerHTML.slice(0, 60)}: ` +
    `${one.getBoundingClientRect().height.toFixed(1)} px high`)"""
BEGIN = "() => { window.scrollTo(0, 0); window.lastStop = null; window.getSelection().empty(); }"
AUDIT = """rules => axe
  .run({ resultTypes: ['violations'], ...rules })
  .then(({ violations }) => ({ violations }))"""
"""What passed is told by nobody, since its telling takes as long as the audit."""
STOP = """() => {
  const here = document.activeElement;
  if (!here || here === document.body) return 'end';
  if (here.tabIndex > 0) return 'a stop out of order';
  const last = window.lastStop;
  window.lastStop = here;
  const follows = Node.DOCUMENT_POSITION_FOLLOWING;
  if (last && !(last.compareDocumentPosition(here) & follows)) return 'end';
  const style = getComputedStyle(here);
  const isSeen = style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) > 0;
  if (!isSeen) return `no sign of the keyboard at ${here.outerHTML.slice(0, 90)}`;
  return '';
}"""


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory, browser: Browser) -> Iterator[tuple[Club, str]]:
    """Serve a club with something on every page."""
    store = open_store(f"sqlite:///{tmp_path_factory.mktemp('pages') / 'club.sqlite'}")
    migrate(store)
    port = free_port()
    address = f"http://127.0.0.1:{port}"
    club = make_club(store, address, seconds=3.0)
    with served(club.app, port):
        yield club, address
    store.close()


def open_as(
    browser: Browser, club: Club, address: str, who: str, scheme: str, language: str = "en"
) -> BrowserContext:
    """Open a browser of somebody."""
    context = browser.new_context(
        viewport={"width": 1280, "height": 850},
        color_scheme="dark" if scheme == "dark" else "light",
        locale=language,
    )
    if who != STRANGER:
        context.add_cookies([{"name": "person", "value": club.secrets[who], "url": address}])
    return context


@pytest.fixture(scope="module", params=WHO)
def faults(
    request: pytest.FixtureRequest, browser: Browser, place: tuple[Club, str]
) -> dict[str, list[str]]:
    """Open every page of somebody once, look at it in every way, and give what was wrong."""
    club, address = place
    who = str(request.param)
    context = open_as(browser, club, address, who, "light")
    page = context.new_page()
    kinds = ("audit", "dark", "words", "keys", "width", "length", "press")
    found: dict[str, list[str]] = {kind: [] for kind in kinds}
    for shot in list_shots(club):
        if shot.who != who:
            continue
        page.set_viewport_size({"width": 1280, "height": 850})
        page.emulate_media(color_scheme="light")
        page.goto(address + shot.path)
        looked = {
            "length": list(measure_length(page, shot)),
            "press": measure_presses(page),
            "words": list(page.evaluate(LOOK)),
            "keys": list(follow_keys(page)),
            "audit": audit(page),
            "width": list(measure_widths(page)),
        }
        page.emulate_media(color_scheme="dark")
        looked["dark"] = audit(page, runOnly=["color-contrast"])
        for kind, said in looked.items():
            found[kind] += [f"{shot.path}: {fault}" for fault in said]
    context.close()
    return found


def audit(page: Page, **rules: object) -> list[str]:
    """Return what axe finds on a page, by all of its rules or by those that are named."""
    if page.evaluate("typeof axe") == "undefined":
        page.evaluate(AXE_SCRIPT)
    result = AxeResults(page.evaluate(AUDIT, rules))
    return [result.generate_report()] if result.violations_count else []


def follow_keys(page: Page) -> Iterator[str]:
    """Go through a page by the keyboard, and say where it leads astray."""
    page.evaluate("document.activeElement?.blur()")
    page.evaluate(BEGIN)
    page.keyboard.press("Tab")
    has_faults = page.locator("#faults").count()  # then the focus begins there
    has_navigation = page.locator("header, nav").count()
    if (
        has_navigation
        and not has_faults
        and not page.evaluate("document.activeElement.matches('.skip')")
    ):
        yield "the first stop is not the way past the navigation"
    for _ in range(MOST_STOPS):
        page.keyboard.press("Tab")
        fault = page.evaluate(STOP)
        if fault == "end":
            return
        if fault:
            yield fault


def measure_length(page: Page, shot: Shot) -> Iterator[str]:
    """Say that a page is too long for a phone, or no longer so though named as an exception."""
    size = page.viewport_size
    width, height = PHONE_PX
    page.set_viewport_size({"width": width, "height": height})
    screens = page.evaluate("document.documentElement.scrollHeight") / height
    is_exception = shot.who in {"secretary", "groundskeeper"} and endpoint_of(shot) in LONG
    is_exception |= endpoint_of(shot) in READ
    if screens > MOST_SCREENS and not is_exception:
        yield f"{screens:.1f} screens"
    if size is not None:
        page.set_viewport_size(size)


def measure_presses(page: Page) -> list[str]:
    """Say what is too low for a thumb, on a phone."""
    size = page.viewport_size
    width, height = PHONE_PX
    page.set_viewport_size({"width": width, "height": height})
    found = list(page.evaluate(PRESSED, THUMB_PX))
    if size is not None:
        page.set_viewport_size(size)
    return found


def endpoint_of(shot: Shot) -> str:
    """Return the endpoint of a shot, as its file is named."""
    return shot.stem.removeprefix(f"{shot.who}-")


def measure_widths(page: Page) -> Iterator[str]:
    """Say where a page is wider than its window: wide, narrow, and with text twice as large."""
    for width, is_large in ((1280, False), (320, False), (640, True)):
        page.set_viewport_size({"width": width, "height": 850})
        if is_large:
            page.evaluate("document.documentElement.style.setProperty('font-size', '200%')")
        is_wide = page.evaluate("document.documentElement.scrollWidth")
        if is_wide > width:
            yield f"{is_wide} px wide at {width} px{' with text twice as large' * is_large}"


def test_the_audit_finds_nothing(faults: dict[str, list[str]]) -> None:
    """On every page of everybody."""
    assert faults["audit"] == []


def test_dark_colours_can_be_read(faults: dict[str, list[str]]) -> None:
    """Only colours differ in the dark, so only contrast is looked at again."""
    assert faults["dark"] == []


def test_every_page_is_told_to_those_who_do_not_see_it(faults: dict[str, list[str]]) -> None:
    """One main part with one first heading, named navigations, and words for every drawing."""
    assert faults["words"] == []


def test_the_keyboard_goes_through_a_page_in_the_order_it_is_read(
    faults: dict[str, list[str]],
) -> None:
    """The first stop leads past the navigation; then down the page, each stop to be seen."""
    assert faults["keys"] == []


def test_nothing_runs_out_of_the_page(faults: dict[str, list[str]]) -> None:
    """No page scrolls sideways at 1280 px, at 320 px, or with text twice as large at 640 px."""
    assert faults["width"] == []


def test_no_page_is_longer_than_four_screens_of_a_phone(faults: dict[str, list[str]]) -> None:
    """At 360 × 740 px, of everybody; the exceptions are named above with their reasons."""
    assert faults["length"] == []


def test_what_is_pressed_on_a_phone_is_a_thumb_high(faults: dict[str, list[str]]) -> None:
    """Buttons, fields, what folds, and the rows of pages, of everybody."""
    assert faults["press"] == []


def test_the_long_pages_that_are_named_exist(place: tuple[Club, str]) -> None:
    """An exception for a page that is gone, or that a coach or a family reads, is none."""
    shots = list_shots(place[0])
    desk = {endpoint_of(s) for s in shots if s.who in {"secretary", "groundskeeper"}}
    others = {endpoint_of(s) for s in shots if s.who in {"coach", STRANGER}}
    assert LONG.keys() <= desk
    assert LONG.keys() & others <= {"desk-evening"}, "a coach's evening is short"


@pytest.mark.parametrize("who", WHO)
def test_german_runs_out_of_no_page(browser: Browser, place: tuple[Club, str], who: str) -> None:
    """Its longer words fit at every width too."""
    club, address = place
    context = open_as(browser, club, address, who, "light", "de")
    page = context.new_page()
    wide = []
    for shot in list_shots(club):
        if shot.who == who:
            page.goto(address + shot.path)
            wide += [f"{shot.path}: {fault}" for fault in measure_widths(page)]
    context.close()
    assert not wide, "\n".join(wide)


def test_what_just_happened_is_announced(browser: Browser, place: tuple[Club, str]) -> None:
    """Done: a status. Refused: an alert that has the focus, each line leading to its field."""
    club, address = place
    context = open_as(browser, club, address, "secretary", "light")
    page = context.new_page()
    page.goto(f"{address}/me")
    page.get_by_label("Lengths in").select_option("yards")
    page.locator("form", has_text="Lengths in").get_by_role("button").last.click()
    expect(page.get_by_role("status").first).to_contain_text("Lengths are told as you chose")
    page.goto(f"{address}/desk/grounds/osier-lane/new-pitch")
    page.get_by_role("button", name="Save").click()
    alert = page.get_by_role("alert")
    expect(alert).to_be_focused()
    alert.get_by_role("link").first.press("Enter")
    expect(page.locator("#field-name")).to_be_focused()
    expect(page.locator("#field-name")).to_have_attribute("aria-invalid", "true")
    expect(page.locator("#pitch-said")).to_have_attribute("role", "status")
    context.close()


def test_the_pictures_are_taken_by_one_call(
    browser: Browser, place: tuple[Club, str], tmp_path: Path
) -> None:
    """Every page of a groundskeeper at both widths, and a page that shows them."""
    club, address = place
    shots = take(browser, club, address, tmp_path, is_dark=False, only="groundskeeper")
    write_index(tmp_path, shots)
    assert {shot.who for shot in shots} == {"groundskeeper"}
    assert len(list(tmp_path.glob("*.png"))) == 2 * len(shots) > 2
    index = (tmp_path / "index.html").read_text(encoding="utf-8")
    assert all(f"{shot.stem}-phone.png" in index for shot in shots)


def test_a_notice_board_stays_current(browser: Browser, place: tuple[Club, str]) -> None:
    """Two minutes later it shows what stands then, also after a time without signal."""
    club, address = place
    context = open_as(browser, club, address, STRANGER, "light")
    page = context.new_page()
    page.clock.install()
    (board,) = {shot.path for shot in list_shots(club) if shot.path.startswith("/board/")}
    page.goto(address + board)
    page.evaluate("document.querySelector('.board h1').textContent = 'Old'")
    context.set_offline(True)
    page.clock.run_for(121_000)
    assert page.locator(".board h1").text_content() == "Old"
    context.set_offline(False)
    page.clock.run_for(121_000)
    expect(page.locator(".board h1")).not_to_have_text("Old")
    context.close()
