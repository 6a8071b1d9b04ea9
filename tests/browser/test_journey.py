"""From the club's files to a coach's ground and a calendar, in a real browser."""

from __future__ import annotations

import re
import urllib.request
from datetime import date
from typing import TYPE_CHECKING, Any

import icalendar
import pytest
import recurring_ical_events
import vobject

from tests.browser.conftest import sign_in_secretary
from tests.browser.pressing import arriving, press

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Browser, BrowserContext, Page, ViewportSize

    from tests.browser.conftest import Planner

pytestmark = pytest.mark.browser

PHONE: ViewportSize = {"width": 360, "height": 740}
LAPTOP: ViewportSize = {"width": 1366, "height": 850}


@pytest.fixture
def phone(browser: Browser) -> Iterator[Page]:
    """Open a page on a phone."""
    context = browser.new_context(viewport=PHONE, has_touch=True)
    yield context.new_page()
    context.close()


@pytest.fixture(scope="module")
def desk(browser: Browser, planner: Planner) -> Iterator[BrowserContext]:
    """Sign a laptop in as the secretary."""
    context = browser.new_context(viewport=LAPTOP)
    page = context.new_page()
    sign_in_secretary(page, planner)
    page.close()
    yield context
    context.close()


def test_the_share_out_places_most_and_says_why_not_all(planner: Planner) -> None:
    """The invented club wants more than there is: some go without, each with a reason."""
    placed, asked = int(str(planner.share_out["placed"])), int(str(planner.share_out["asked"]))
    assert 0.8 * asked < placed < asked
    refusals = planner.share_out["refusals"]
    assert isinstance(refusals, list)
    assert sum(refusal["missing"] for refusal in refusals) == asked - placed
    assert all(refusal["reasons"] for refusal in refusals)


def test_a_coach_sees_their_ground_on_a_phone(phone: Page, planner: Planner) -> None:
    """The page says where and when, draws it, and never scrolls sideways."""
    phone.goto(planner.squad_page)
    assert phone.locator(".where-area").first.inner_text()
    assert re.search(r"\d\d:\d\d–\d\d:\d\d", phone.locator(".when-big").first.inner_text())
    drawing = phone.locator(".session-body svg").first
    box = drawing.bounding_box()
    assert box is not None
    assert box["width"] > 280
    assert box["y"] < PHONE["height"] / 2, "the plan is within sight without scrolling"
    assert phone.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    facts = phone.locator(".facts").first.inner_text()
    for words in ("Which way", "Next door", "Light"):
        assert words in facts
    press(phone.get_by_role("link", name=re.compile("For the coach: what fits")).first)
    phone.get_by_role("heading", name="What fits here").wait_for()
    facts = phone.locator(".facts").first.inner_text()
    for words in ("Where", "Size", "Goals"):
        assert words in facts
    assert re.search(r"m \(\d+ × \d+ yd\)", facts)


def test_what_fits_is_worked_out_while_numbers_are_typed(phone: Page, planner: Planner) -> None:
    """Typing numbers redraws what fits without a press or a reload."""
    phone.goto(f"{planner.squad_page}/fits")
    phone.evaluate("window.isSamePage = true")
    press(phone.locator("[data-part=largest] > summary"))
    phone.get_by_label("Players").fill("14")
    phone.get_by_label("of them keepers").fill("1")
    phone.get_by_label("Practice area, m").fill("30")
    phone.get_by_label("by, m").fill("20")
    phone.locator(".way-about", has_text="practice areas of 30 × 20 m").wait_for()
    phone.get_by_role("heading", name=re.compile(r"Two games of 3 v 3")).wait_for()
    assert phone.evaluate("window.isSamePage") is True
    said = phone.locator("#fit-said")
    assert re.fullmatch(r"What fits: .*3 v 3.*; \d+ other ways? below\.", said.inner_text())
    assert said.get_attribute("role") == "status"
    assert phone.locator("#fit-results[aria-live], [aria-live] #fit-results").count() == 0
    assert told_by_themselves(phone) == [said.inner_text()], "one sentence, and no more of it"
    assert phone.locator("[data-part=largest]").evaluate("part => part.open"), "stays open"


def told_by_themselves(page: Page) -> list[str]:
    """Return what a screen reader says unasked when it changes, by the tree it gets of a page."""
    tree = page.context.new_cdp_session(page).send("Accessibility.getFullAXTree")["nodes"]
    nodes = {node["nodeId"]: node for node in tree}

    def words(node: dict[str, Any]) -> str:
        if node.get("role", {}).get("value") == "StaticText":
            return str(node["name"]["value"])
        return "".join(words(nodes[child]) for child in node.get("childIds", ()))

    live = {"status", "alert", "log", "timer", "marquee"}
    told = [
        words(node)
        for node in tree
        if not node["ignored"] and node.get("role", {}).get("value") in live
    ]
    return [one for one in told if one.strip()]


def test_what_fits_works_without_scripts(browser: Browser, planner: Planner) -> None:
    """The same form works by its button where scripts are off."""
    context = browser.new_context(viewport=PHONE, java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{planner.squad_page}/fits")
    page.get_by_label("Players").fill("13")
    page.get_by_label("of them keepers").fill("1")
    press(page.get_by_role("button", name="Show"))
    page.get_by_role("heading", name="Two games of 3 v 3", exact=True).wait_for()
    context.close()


def test_a_wrong_number_is_told_and_kept(phone: Page, planner: Planner) -> None:
    """A number that cannot be used comes back as typed, with a message beside it."""
    phone.goto(f"{planner.squad_page}/fits")
    phone.get_by_label("Players").fill("1000")
    press(phone.get_by_role("button", name="Show"))
    phone.get_by_role("alert").wait_for()
    assert phone.get_by_label("Players").input_value() == "1000"


def test_the_calendar_is_read_back_by_others(planner: Planner) -> None:
    """Two parsers that share no code with ours find the same sessions in file and feed."""
    with urllib.request.urlopen(planner.feed, timeout=60) as answer:  # noqa: S310 - our own
        sent = answer.read()
    events = vobject.readOne(sent.decode()).vevent_list
    file = vobject.readOne(planner.calendar_file.read_text("utf-8")).vevent_list
    told = [
        [(e.uid.value, e.dtstart.value, e.location.value) for e in one] for one in (events, file)
    ]
    assert told[0] == told[1], "a file leads to no page, and else says what the feed says"
    found = recurring_ical_events.of(icalendar.Calendar.from_ical(sent)).between(
        date(2027, 4, 1), date(2027, 6, 30)
    )
    spring = [e for e in events if e.dtstart.value.date().month in (4, 5)]
    assert len(found) == len(spring) > 0
    assert {e.dtstart.value for e in spring} == {e["DTSTART"].dt for e in found}
    assert len({e.dtstart.value.strftime("%a %H:%M") for e in spring}) <= 2, "wall time is kept"
    with urllib.request.urlopen(events[0].attach.value, timeout=60) as answer:  # noqa: S310
        assert answer.read(8) == b"\x89PNG\r\n\x1a\n"


def test_the_secretary_adds_moves_and_withdraws(desk: BrowserContext, planner: Planner) -> None:
    """A booking is added, clashes are told with what is free, it is moved, then withdrawn."""
    page = desk.new_page()
    page.goto(f"{planner.address}/desk/evening?date=2027-04-17")
    _book(page, "Railway third", "Hill Runners", "13:00", "14:00")
    assert "Hill Runners" in page.locator("table.list").inner_text()
    _book(page, "Railway half", "Late Comers", "13:30", "14:30")
    alert = page.get_by_role("alert").inner_text()
    assert "Railway third is held by Hill Runners 13:00–14:00" in alert
    assert "Clubhouse half" in alert
    assert page.get_by_label("Or who else").input_value() == "Late Comers"
    press(page.get_by_role("link", name=re.compile("Change Hill Runners")))
    page.get_by_label("From").fill("14:00")
    page.get_by_label("To", exact=True).fill("15:00")
    press(page.get_by_role("button", name="Move"))
    page.wait_for_url(re.compile(r"/desk/evening"))
    assert "14:00–15:00" in page.locator("tr", has_text="Hill Runners").inner_text()
    press(page.get_by_role("link", name=re.compile("Change Hill Runners")))
    press(page.get_by_role("button", name="Withdraw"))
    page.wait_for_url(re.compile(r"/desk/evening"))
    assert not page.get_by_role("link", name=re.compile("Change Hill Runners")).count()
    page.close()


def test_the_proposal_is_there_to_look_at(desk: BrowserContext, planner: Planner) -> None:
    """The proposal's page says how it ended, who goes without and why."""
    page = desk.new_page()
    page.goto(f"{planner.address}/desk/share-outs/{planner.share_out['number']}")
    text = page.locator("main").inner_text()
    assert "sessions asked for" in text
    assert "Who goes without, and why" in text
    page.close()


def _book(page: Page, ground: str, who: str, start: str, end: str) -> None:
    page.get_by_label("Ground", exact=True).select_option(label=ground)
    page.get_by_label("From").fill(start)
    page.get_by_label("To", exact=True).fill(end)
    page.get_by_label("For", exact=True).select_option("hire")
    page.get_by_label("Or who else").fill(who)
    press(page.get_by_role("button", name="Book"))


def test_a_booking_is_dragged_to_its_place(desk: BrowserContext, planner: Planner) -> None:
    """Dragging the card onto a place leads where pressing the place does."""
    page = desk.new_page()
    page.goto(f"{planner.address}/desk/evening?date=2027-04-24")
    _book(page, "Railway third", "Hill Walkers", "13:00", "14:00")
    press(page.get_by_role("link", name=re.compile("Change Hill Walkers")))
    press(page.get_by_role("link", name="See every place it could go"))
    card = page.locator("[data-drag]").bounding_box()
    goal = page.locator("li", has=page.get_by_role("link", name="Clubhouse third")).first
    place = goal.bounding_box()
    assert card is not None
    assert place is not None
    page.mouse.move(card["x"] + 20, card["y"] + 15)
    page.mouse.down()
    page.mouse.move(place["x"] + 60, place["y"] + 20, steps=8)
    assert "is-over-place" in (goal.get_attribute("class") or "")
    with arriving(page):
        page.mouse.up()
    page.get_by_role("heading", name=re.compile("Hill Walkers to Clubhouse third")).wait_for()
    press(page.get_by_role("button", name="Move it"))
    page.wait_for_url(re.compile(r"/desk/evening"))
    assert "Clubhouse third" in page.locator("tr", has_text="Hill Walkers").inner_text()
    page.close()
