"""Three new secretaries come from an empty program to a published week, each step counted.

One has a spreadsheet, one has nothing, one a map file. Who has the club in a table should need at
most `MOST_CLICKS` clicks and `MOST_FIELDS` fields (our own aim; signing up counts, too).
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import select

from clubplanner.services.people.ways_in.passwords import create_secretary_key
from clubplanner.store.tables.squad_tables import SquadRow
from tests.browser.conftest import PASSWORD
from tests.browser.pressing import PATIENCE_MS, press
from tests.browser.served import Site
from tests.builders import NOW
from tests.ports import free_port
from tests.small_club import kept_bookings

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Browser, FilePayload, Locator, Page

    from clubplanner.store.engine import Store

pytestmark = pytest.mark.browser

MOST_CLICKS, MOST_FIELDS = 40, 30
MOST_TYPED = 35
"""Fields for three squads that are typed into their form, seven each, and all the rest."""
HEAD = "squad,age group,players,coach,sessions a week,minutes,possible,least ground,needs goal"
ROWS = (
    "U8 Larks,U8,10,Kit Ames,1,60,Tue 17:00-19:00,quarter,no",
    "U9 Terns,U9,12,Jo Birch,1,60,Mon 17:00-19:00,quarter,no",
    "U10 Owls,U10,12,Al Crane,1,60,Wed 17:00-19:00,quarter,no",
    "U11 Wrens,U11,14,Bo Dale,2,75,Mon-Thu 17:00-19:30,third,yes",
    "U12 Kites,U12,14,Cy Elm,2,75,Mon-Thu 17:00-19:30,third,yes",
    "U13 Rooks,U13,15,Di Fern,2,75,Mon-Thu 17:30-20:00,third,yes",
    "U14 Swifts,U14,16,Ed Gale,2,75,Mon-Thu 17:30-20:00,half,yes",
    "U15 Herons,U15,16,Flo Hart,2,90,Mon-Thu 18:00-21:00,half,yes",
    "U16 Gulls,U16,17,Gil Ives,2,90,Mon-Thu 18:00-21:00,half,yes",
    "U18 Hawks,U18,18,Hal Jory,2,90,Mon-Thu 18:30-21:30,half,yes",
    "Women,Adult,20,Ida Kerr,2,90,Mon-Thu 18:30-21:30,half,yes",
    "Men,Adult,20,Jay Lunt,2,90,Mon-Thu 18:30-21:30,half,yes",
)
SESSIONS_A_WEEK = 21
TYPED = (
    ("U9 Terns", "U9", "12", "Mon-Thu 17:00-19:00", "quarter"),
    ("U13 Rooks", "U13", "15", "Mon-Thu 17:30-20:00", "third"),
    ("Men", "Adult", "20", "Mon-Thu 18:30-21:30", "9000 m2"),
)


def _outline(lat: float, width: float, height: float) -> list[list[list[float]]]:
    """Return the ring of a rectangle in degrees, eastern from 2.6° west."""
    west, east = -2.6, -2.6 + width
    north = lat + height
    return [[[west, lat], [east, lat], [east, north], [west, north], [west, lat]]]


MAP = {
    "type": "FeatureCollection",
    "name": "drawn by hand",
    "features": [
        {
            "type": "Feature",
            "properties": {"fid": 1, "stroke": "#555555", "fill-opacity": 0.5},
            "geometry": {
                "type": "MultiPolygon",
                "coordinates": [_outline(52.3, 0.00147, 0.00058)],
            },
        },
        {
            "type": "Feature",
            "properties": {},
            "geometry": {"type": "Polygon", "coordinates": _outline(52.302, 0.0009, 0.00042)},
        },
        {
            "type": "Feature",
            "properties": {"note": "gate"},
            "geometry": {"type": "Point", "coordinates": [-2.6, 52.3005]},
        },
    ],
}
"""As general map programs write one: properties of their own, one part of many, a stray point."""


@dataclass
class Hands:
    """A pair of hands that counts what it does.

    Attributes:
        page: The page they work on.
        clicks: Links, buttons and boxes so far.
        fields: What was typed, chosen from a list or pasted so far.
    """

    page: Page
    clicks: int = 0
    fields: int = 0

    def press(self, what: Locator) -> None:
        """Press once."""
        press(what)
        self.clicks += 1

    def fill(self, name: str, words: str) -> None:
        """Type into the field of that name, or choose from it."""
        field = self.page.locator(f"[name={name}]").first
        if field.evaluate("field => field.tagName") == "SELECT":
            field.select_option(words)
        else:
            field.fill(words)
        self.fields += 1

    def button(self, words: str) -> None:
        """Press a button."""
        self.press(self.page.get_by_role("button", name=words, exact=True).first)

    def next_step(self, words: str) -> None:
        """Go back to the first steps, and on to the next of them."""
        if not self.page.url.endswith("/first-steps"):
            self.press(self.page.get_by_role("link", name="First steps").first)
        self.press(self.page.locator("[aria-current=step]").get_by_role("link", name=words))


@pytest.fixture
def site(empty_store: Store) -> Iterator[Site]:
    """Serve a planner with nothing in it."""
    site = Site(empty_store, free_port())
    site.begin()
    yield site
    site.end()
    if site.runner is not None:
        site.runner.wait(PATIENCE_MS / 1000)


def begin(site: Site, browser: Browser, width: int) -> Hands:
    """Sign the new secretary in, name the club and its venue, and come to the ways of ground."""
    page = browser.new_context(viewport={"width": width, "height": 740}).new_page()
    hands = Hands(page)
    page.goto(f"{site.address}/secretary/{create_secretary_key(site.store, NOW)}")
    hands.fill("name", "Kim Ashby")
    hands.fill("password", PASSWORD)
    hands.press(page.locator("main form button").first)
    hands.next_step("Name the club")
    hands.fill("name", "Weir Rangers")
    hands.button("Save")
    hands.next_step("Add a venue")
    hands.fill("name", "Weir Park")
    hands.button("Save")
    page.wait_for_url("**/by-kind")
    return hands


def add_by_kind(hands: Hands, *kinds: tuple[str, str]) -> None:
    """Add pitches by their kinds; the first of them is floodlit."""
    for n, (kind, name) in enumerate(kinds, 1):
        hands.fill(f"kind_{n}", kind)
        hands.fill(f"name_{n}", name)
    hands.press(hands.page.locator("[name=lit_1]"))
    hands.button("Save")
    names = ", ".join(name for _kind, name in kinds)
    hands.page.get_by_text(f"{names} saved.").wait_for()


def paste_squads(hands: Hands, *rows: str) -> None:
    """Paste cells as a spreadsheet gives them, look at what was understood, take it in."""
    hands.next_step("Take the table that the club has")
    hands.fill("text", "\n".join(row.replace(",", "\t") for row in (HEAD, *rows)))
    hands.button("Look at it")
    hands.button("Take it in")
    hands.page.get_by_role("heading", name="Squads", exact=True).wait_for()


def publish(hands: Hands) -> str:
    """Name a stretch of two weeks, share it out and publish it; return what was said before."""
    page = hands.page
    hands.next_step("Name a stretch of the season")
    hands.fill("stretch_name", "Winter")
    hands.fill("stretch_first", "2026-11-16")
    hands.fill("stretch_last", "2026-11-29")
    hands.press(page.locator("form", has=page.locator("[name=stretch_name]")).get_by_role("button"))
    page.get_by_role("link", name="First steps").first.wait_for()
    hands.next_step("Share out, look at it, publish it")
    told = page.locator("main").inner_text()
    hands.button("Share out")
    hands.press(page.get_by_role("link", name="Look at the proposal"))
    hands.button("Publish")
    page.get_by_text("Published:").wait_for()
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    return told


def squad_count(store: Store) -> int:
    """Count the squads that were taken in."""
    with store.read() as session:
        return len(session.scalars(select(SquadRow)).all())


def test_with_a_spreadsheet(site: Site, browser: Browser) -> None:
    """Twelve squads pasted, four pitches by kind: nothing is silent about what nobody has said."""
    hands = begin(site, browser, 360)
    add_by_kind(
        hands,
        ("full-size-artificial-pitch", "Top pitch"),
        ("full-size-grass-pitch", "River pitch"),
        ("nine-a-side-pitch", "Mill pitch"),
        ("four-court-hall", "Hall"),
    )
    paste_squads(hands, *ROWS)
    told = publish(hands)
    assert "Asked for: 21 sessions, 28 h a week." in told
    assert "By itself, every squad that asks finds ground." in told
    assert "Where goals stand is not recorded for Hall" in told
    assert "Nobody has said yet where Weir Park lies" in told
    assert len(kept_bookings(site.store)) == 2 * SESSIONS_A_WEEK
    assert squad_count(site.store) == len(ROWS)
    assert hands.clicks <= MOST_CLICKS, hands.clicks
    assert hands.fields <= MOST_FIELDS, hands.fields


def test_with_nothing(site: Site, browser: Browser) -> None:
    """Two pitches by kind, three squads typed into their form; one asks for more than there is."""
    hands = begin(site, browser, 1280)
    add_by_kind(
        hands, ("full-size-artificial-pitch", "Top pitch"), ("seven-a-side-pitch", "Mill pitch")
    )
    hands.next_step("Say who asks for what")
    for name, age, players, possible, least in TYPED:
        if hands.page.url.endswith("/new-squad") is False:
            hands.press(hands.page.get_by_role("link", name="New squad"))
        hands.fill("squad", name)
        hands.fill("age_group", age)
        hands.fill("players", players)
        hands.fill("sessions_a_week_1", "2")
        hands.fill("minutes_1", "75")
        hands.fill("possible_1", possible)
        hands.fill("least_ground_1", least)
        hands.button("Save")
        hands.page.get_by_text(f"{name} saved.").wait_for()
    told = publish(hands)
    assert "1 squad finds too little ground, whoever else goes without." in told
    assert "Ask for 6,400 m² instead of 9,000 m²" in told
    assert len(kept_bookings(site.store)) == 2 * 4
    assert squad_count(site.store) == len(TYPED)
    assert hands.clicks <= MOST_CLICKS, hands.clicks
    assert hands.fields <= MOST_TYPED, hands.fields


def test_with_a_map_file(site: Site, browser: Browser) -> None:
    """Outlines without a word of ours: what is missing is asked, and where the club lies is not."""
    hands = begin(site, browser, 360)
    page = hands.page
    hands.press(page.get_by_role("link", name="From a map file"))
    file: FilePayload = {
        "name": "map.geojson",
        "mimeType": "application/geo+json",
        "buffer": json.dumps(MAP).encode(),
    }
    page.locator("input[type=file]").first.set_input_files(file)
    hands.fields += 1
    hands.button("Look what it changes")
    for n, (name, surface, cut) in enumerate(
        (("Top pitch", "artificial", "thirds"), ("Mill pitch", "grass", "halves")), 1
    ):
        hands.fill(f"name_{n}", name)
        hands.fill(f"surface_{n}", surface)
        hands.press(page.locator(f"[name={cut}_{n}]"))
    hands.press(page.locator("[name=lit_1]"))
    hands.button("Look what it changes")
    hands.button("Load it")
    page.get_by_text("Loaded: 2 pitches").wait_for()
    paste_squads(hands, *ROWS[:8])
    told = publish(hands)
    assert "Where goals stand is not recorded for Top pitch, Mill pitch" in told
    assert "Nobody has said yet where Weir Park lies" not in told
    assert kept_bookings(site.store)
    assert hands.clicks <= MOST_CLICKS, hands.clicks
    assert hands.fields <= MOST_FIELDS, hands.fields
