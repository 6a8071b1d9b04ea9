"""Every page for everybody who may open it: audited, never scrolling sideways, none too long."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

from tests.browser import screenshots
from tests.browser.looks import (
    DESK_PX,
    Eye,
    measure_narrow,
    measure_presses,
    measure_width,
    open_browser,
    paper_faults,
    screens_of,
    touching_faults,
    words_faults,
)
from tests.browser.pressing import press
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
from tests.records import copy_records, open_records

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from playwright.sync_api import Browser, BrowserContext, Page, ViewportSize

pytestmark = pytest.mark.browser

WHO = (STRANGER, "secretary", "coach", "groundskeeper")
PHONE_PX: ViewportSize = {"width": 360, "height": 740}
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
NOTE_NEXT_ROUND = """() => {
  const begin = window.setTimeout;
  window.setTimeout = (...all) => { window.hasNextRound = true; return begin(...all); };
}"""
"""Tell when a page that fetches itself again has seen that it cannot, and waits once more."""
READ = frozenset({"guide-chapter"})
"""Pages of whoever that are read as texts are, with what they hold listed at their head."""


@pytest.fixture(scope="module")
def place(
    empty_file: Path, tmp_path_factory: pytest.TempPathFactory, still_browser: Browser
) -> Iterator[tuple[Club, str]]:
    """Serve a club with something on every page."""
    path = tmp_path_factory.mktemp("pages") / "club.sqlite"
    copy_records(empty_file, path)
    store = open_records(path)
    port = free_port()
    address = f"http://127.0.0.1:{port}"
    club = make_club(store, address, seconds=1.0)
    with served(club.app, port):
        yield club, address
    store.close()


def open_as(
    browser: Browser,
    place: tuple[Club, str],
    who: str,
    language: str = "en",
    *,
    has_axe: bool = False,
) -> BrowserContext:
    """Open a browser of somebody."""
    club, address = place
    context = open_browser(browser, language=language, has_axe=has_axe)
    if who != STRANGER:
        context.add_cookies([{"name": "person", "value": club.secrets[who], "url": address}])
    return context


@pytest.fixture(scope="module", params=WHO)
def faults(
    request: pytest.FixtureRequest, still_browser: Browser, place: tuple[Club, str]
) -> dict[str, list[str]]:
    """Open every page of somebody once, look at it in every way, and give what was wrong."""
    club, address = place
    who = str(request.param)
    context = open_as(still_browser, place, who, has_axe=True)
    page, eye = context.new_page(), Eye()
    kinds = ("audit", "dark", "words", "keys", "width", "length", "press", "touch", "paper")
    found: dict[str, list[str]] = {kind: [] for kind in kinds}
    for shot in list_shots(club):
        if shot.who != who:
            continue
        page.set_viewport_size(DESK_PX)
        page.emulate_media(color_scheme="light")
        page.goto(address + shot.path)
        looked = {
            "touch": touching_faults(page),
            "words": words_faults(page),
            "paper": paper_faults(page),
            "keys": list(eye.follow_keys(page)),
            "audit": eye.audit(page),
            "dark": eye.audit_dark(page),
            "width": list(measure_width(page)),
            "length": list(measure_length(page, shot)),
            "press": measure_presses(page),
        }
        looked["touch"] += touching_faults(page)  # in a window as wide as a phone
        looked["width"] += measure_narrow(page)
        for kind, said in looked.items():
            found[kind] += [f"{shot.path}: {fault}" for fault in said]
    context.close()
    return found


def measure_length(page: Page, shot: Shot) -> Iterator[str]:
    """Say that a page is too long for a phone, or no longer so though named as an exception."""
    screens = screens_of(page, PHONE_PX)
    is_exception = shot.who in {"secretary", "groundskeeper"} and endpoint_of(shot) in LONG
    is_exception |= endpoint_of(shot) in READ
    if screens > MOST_SCREENS and not is_exception:
        yield f"{screens:.1f} screens"


def endpoint_of(shot: Shot) -> str:
    """Return the endpoint of a shot, as its file is named."""
    return shot.stem.removeprefix(f"{shot.who}-")


def test_the_audit_finds_nothing(faults: dict[str, list[str]]) -> None:
    """On every page of everybody."""
    assert faults["audit"] == []


def test_dark_colours_can_be_read(faults: dict[str, list[str]]) -> None:
    """Only colours differ in the dark, so what differs in them is looked at again."""
    assert faults["dark"] == []


def test_what_is_printed_can_be_read(faults: dict[str, list[str]]) -> None:
    """Printers leave out grounds of colour: light words that stood on one would be gone."""
    assert faults["paper"] == []


def test_every_page_is_told_to_those_who_do_not_see_it(faults: dict[str, list[str]]) -> None:
    """One main part with one first heading, named navigations, and words for every drawing."""
    assert faults["words"] == []


def test_the_keyboard_goes_through_a_page_in_the_order_it_is_read(
    faults: dict[str, list[str]],
) -> None:
    """The first stop leads past the navigation; each stop shows, and none is out of order."""
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


def test_no_two_buttons_touch(faults: dict[str, list[str]]) -> None:
    """On a laptop and on a phone, of everybody."""
    assert faults["touch"] == []


def test_the_long_pages_that_are_named_exist(place: tuple[Club, str]) -> None:
    """An exception for a page that is gone, or that a coach or a family reads, is none."""
    shots = list_shots(place[0])
    desk = {endpoint_of(s) for s in shots if s.who in {"secretary", "groundskeeper"}}
    others = {endpoint_of(s) for s in shots if s.who in {"coach", STRANGER}}
    assert LONG.keys() <= desk
    assert LONG.keys() & others <= {"desk-evening"}, "a coach's evening is short"


@pytest.mark.parametrize("who", WHO)
def test_german_runs_out_of_no_page(
    still_browser: Browser, place: tuple[Club, str], who: str
) -> None:
    """Its longer words fit at every width too, on what several may open as the first sees it."""
    club, address = place
    context = open_as(still_browser, place, who, "de")
    page = context.new_page()
    wide = []
    shots = sorted(list_shots(club), key=lambda shot: WHO.index(shot.who))
    first = {endpoint_of(shot): shot for shot in reversed(shots)}
    for shot in first.values():
        if shot.who == who:
            page.set_viewport_size(DESK_PX)
            page.goto(address + shot.path)
            faults = [*measure_width(page), *measure_narrow(page)]
            wide += [f"{shot.path}: {fault}" for fault in faults]
    context.close()
    assert not wide, "\n".join(wide)


def test_what_just_happened_is_announced(browser: Browser, place: tuple[Club, str]) -> None:
    """Done: a status. Refused: an alert that has the focus, each line leading to its field."""
    _club, address = place
    context = open_as(browser, place, "secretary")
    page = context.new_page()
    page.goto(f"{address}/me")
    page.get_by_label("Lengths in").select_option("yards")
    press(page.locator("form", has_text="Lengths in").get_by_role("button").last)
    expect(page.get_by_role("status").first).to_contain_text("Lengths are told as you chose")
    page.goto(f"{address}/desk/grounds/osier-lane/new-pitch")
    press(page.get_by_role("button", name="Save"))
    alert = page.get_by_role("alert")
    expect(alert).to_be_focused()
    alert.get_by_role("link").first.press("Enter")
    expect(page.locator("#field-name")).to_be_focused()
    expect(page.locator("#field-name")).to_have_attribute("aria-invalid", "true")
    expect(page.locator("#pitch-said")).to_have_attribute("role", "status")
    context.close()


def test_the_pictures_are_taken_by_one_call(
    browser: Browser, place: tuple[Club, str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Every page of somebody at both widths, here the first three, and a page that shows them."""
    club, address = place
    first = [shot for shot in list_shots(club) if shot.who == "groundskeeper"][:3]
    others = [shot for shot in list_shots(club) if shot.who != "groundskeeper"]
    monkeypatch.setattr(screenshots, "list_shots", lambda _club: [*others, *first])
    shots = take(browser, club, address, tmp_path, is_dark=False, only="groundskeeper")
    write_index(tmp_path, shots)
    assert shots == first
    assert len(list(tmp_path.glob("*.png"))) == 2 * len(shots) == 6
    index = (tmp_path / "index.html").read_text(encoding="utf-8")
    assert all(f"{shot.stem}-phone.png" in index for shot in shots)


def test_a_notice_board_stays_current(browser: Browser, place: tuple[Club, str]) -> None:
    """Two minutes later it shows what stands then, also after a time without signal."""
    club, address = place
    context = open_as(browser, place, STRANGER)
    page = context.new_page()
    page.clock.install()
    (board,) = {shot.path for shot in list_shots(club) if shot.path.startswith("/board/")}
    page.goto(address + board)
    page.evaluate("document.querySelector('.board h1').textContent = 'Old'")
    page.evaluate(NOTE_NEXT_ROUND)
    context.set_offline(True)
    with page.expect_event("requestfailed"):
        page.clock.run_for(121_000)
    page.wait_for_function("window.hasNextRound")
    assert page.locator(".board h1").text_content() == "Old"
    context.set_offline(False)
    with page.expect_response(address + board):
        page.clock.run_for(121_000)
    expect(page.locator(".board h1")).not_to_have_text("Old")
    context.close()
