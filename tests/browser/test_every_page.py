"""Every page for everybody who may open it: audited, never scrolling sideways."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from clubplanner.store.engine import open_store
from clubplanner.store.migrate import migrate
from tests.browser.screenshots import (
    STRANGER,
    Club,
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

    from playwright.sync_api import Browser, BrowserContext

pytestmark = pytest.mark.browser

WHO = (STRANGER, "secretary", "coach", "groundskeeper")
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
    if (svg.getAttribute('role') !== 'img' || !name.trim()) faults.push('a drawing without words');
  }
  return faults;
}"""
BEGIN = "() => { window.scrollTo(0, 0); window.lastStop = null; window.getSelection().empty(); }"
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


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("who", WHO)
def test_the_audit_finds_nothing(
    browser: Browser, place: tuple[Club, str], who: str, scheme: str
) -> None:
    """On every page of everybody, light and dark."""
    club, address = place
    context = open_as(browser, club, address, who, scheme)
    page = context.new_page()
    faults = []
    for shot in list_shots(club):
        if shot.who == who:
            page.goto(address + shot.path)
            found = Axe().run(page)
            if found.violations_count:
                faults.append(f"{shot.path}: {found.generate_report()}")
    context.close()
    assert not faults, "\n".join(faults)


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize("who", WHO)
def test_narrow_and_with_large_text_nothing_runs_out_of_the_page(
    browser: Browser, place: tuple[Club, str], who: str, language: str
) -> None:
    """At 320 px, and with text twice as large at 640 px, no page scrolls sideways; nor at 1280."""
    club, address = place
    context = open_as(browser, club, address, who, "light", language)
    page = context.new_page()
    faults = []
    for shot in list_shots(club):
        if shot.who != who:
            continue
        if language == "en":
            page.set_viewport_size({"width": 1280, "height": 850})
            page.goto(address + shot.path)
            width = page.evaluate("document.documentElement.scrollWidth")
            if width > 1280:
                faults.append(f"{shot.path} is {width} px wide at 1280 px")
        page.set_viewport_size({"width": 320, "height": 640})
        page.goto(address + shot.path)
        width = page.evaluate("document.documentElement.scrollWidth")
        if width > 320:
            faults.append(f"{shot.path} is {width} px wide at 320 px")
        page.set_viewport_size({"width": 640, "height": 900})
        page.evaluate("document.documentElement.style.setProperty('font-size', '200%')")
        width = page.evaluate("document.documentElement.scrollWidth")
        if width > 640:
            faults.append(f"{shot.path} is {width} px wide at 640 px with text twice as large")
    context.close()
    assert not faults, "\n".join(faults)


@pytest.mark.parametrize("who", WHO)
def test_every_page_is_told_to_those_who_do_not_see_it(
    browser: Browser, place: tuple[Club, str], who: str
) -> None:
    """One main part with one first heading, named navigations, and words for every drawing."""
    club, address = place
    context = open_as(browser, club, address, who, "light")
    page = context.new_page()
    faults = []
    for shot in list_shots(club):
        if shot.who == who:
            page.goto(address + shot.path)
            faults += [f"{shot.path}: {fault}" for fault in page.evaluate(LOOK)]
    context.close()
    assert not faults, "\n".join(faults)


@pytest.mark.parametrize("who", WHO)
def test_the_keyboard_goes_through_a_page_in_the_order_it_is_read(
    browser: Browser, place: tuple[Club, str], who: str
) -> None:
    """The first stop leads past the navigation; then down the page, each stop to be seen."""
    club, address = place
    context = open_as(browser, club, address, who, "light")
    page = context.new_page()
    faults = []
    for shot in list_shots(club):
        if shot.who != who:
            continue
        page.goto(address + shot.path)
        page.evaluate("document.activeElement?.blur()")
        page.evaluate(BEGIN)
        page.keyboard.press("Tab")
        has_faults = page.locator("#faults").count()  # then the focus begins there
        if not has_faults and not page.evaluate("document.activeElement.matches('.skip')"):
            faults.append(f"{shot.path}: the first stop is not the way past the navigation")
        for _ in range(MOST_STOPS):
            page.keyboard.press("Tab")
            fault = page.evaluate(STOP)
            if fault == "end":
                break
            if fault:
                faults.append(f"{shot.path}: {fault}")
    context.close()
    assert not faults, "\n".join(faults)


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
    expect(page.locator("#pitch-drawing")).to_have_attribute("aria-live", "polite")
    context.close()


def test_the_pictures_are_taken_by_one_call(
    browser: Browser, place: tuple[Club, str], tmp_path: Path
) -> None:
    """Every page of everybody at both widths, and a page that shows them."""
    club, address = place
    shots = take(browser, club, address, tmp_path, is_dark=False)
    write_index(tmp_path, shots)
    assert {shot.who for shot in shots} == set(WHO)
    assert len(list(tmp_path.glob("*.png"))) == 2 * len(shots)
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
