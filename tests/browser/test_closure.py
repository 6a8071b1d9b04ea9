"""17:40, the north pitch is under water and six squads are on their way."""

from __future__ import annotations

import re
import threading
import urllib.request
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import select
from werkzeug.serving import make_server

from clubplanner.config import Config
from clubplanner.domain.club.people import Role
from clubplanner.services.addresses.links import create_squad_link
from clubplanner.services.people.people import PersonDraft, add_person
from clubplanner.services.people.ways_in.browsers import open_browser
from clubplanner.services.proposals.publishing import publish_share_out
from clubplanner.services.share_out.anew.anew import run_share_out
from clubplanner.sharing.values.problem import Effort
from clubplanner.store.tables.notice_tables import NoticeRow
from clubplanner.store.tables.squad_tables import SquadRow
from clubplanner.webapp import create_app
from tests.browser.pressing import press
from tests.builders import A_WEDNESDAY, NOW
from tests.small_club import kept_bookings, load_small_club, pitch_feature

if TYPE_CHECKING:
    from collections.abc import Iterator

    from flask import Flask
    from playwright.sync_api import Browser, Page

    from clubplanner.store.engine import Store

pytestmark = pytest.mark.browser

AT_1740 = datetime(2026, 11, 25, 17, 40, tzinfo=UTC)
SQUADS = "squad,age group,players,coach,sessions a week,minutes,possible,least ground\n" + "".join(
    f"U12 {name},U12,14,Coach {name},1,60,Wed 18:00-21:00,third\n"
    for name in ("Larks", "Finches", "Rooks", "Terns", "Herons", "Owls")
)
PITCHES = (
    pitch_feature("North pitch", 100, 64, surface="artificial", floodlights=True),
    pitch_feature("South pitch", 100, 64, surface="artificial", floodlights=True),
)


@dataclass(slots=True)
class Person:
    """A secretary who acts one step at a time: a choice, a word typed, a button.

    Attributes:
        page: What they look at.
        steps: What they did.
    """

    page: Page
    steps: list[str] = field(default_factory=list)

    def choose(self, label: str, option: str) -> None:
        """Choose from a list."""
        self.page.get_by_label(label, exact=True).select_option(label=option)
        self.steps.append(f"choose {option}")

    def write(self, label: str, text: str) -> None:
        """Type a word."""
        self.page.get_by_label(label, exact=True).fill(text)
        self.steps.append(f"type {text}")

    def press(self, name: str) -> None:
        """Press a button or follow a link."""
        buttons = self.page.get_by_role("button", name=name)
        target = buttons if buttons.count() else self.page.get_by_role("link", name=name)
        press(target.first)
        self.steps.append(f"press {name}")


@pytest.fixture
def evening(empty_store: Store, browser: Browser) -> Iterator[tuple[Store, Person, str]]:
    """Serve a club at 17:40 on a Wednesday whose six squads train from 18:00 on two pitches."""
    load_small_club(empty_store, squads=SQUADS, pitches=PITCHES)
    done = run_share_out(empty_store, "winter", Effort(seconds=5), NOW)
    publish_share_out(empty_store, done.number, NOW)
    feed = create_squad_link(empty_store, "u12-larks", "a test", NOW)
    number = add_person(empty_store, PersonDraft("Kim", Role.SECRETARY, "", ()), NOW)
    with empty_store.write() as session:
        secret = open_browser(session, number, "A phone", NOW)
    server = make_server("127.0.0.1", 0, _app(empty_store), threaded=True)
    address = f"http://127.0.0.1:{server.server_port}"
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    context = browser.new_context(viewport={"width": 360, "height": 740})
    context.add_cookies([{"name": "person", "value": secret, "url": address}])
    page = context.new_page()
    page.goto(f"{address}/desk/evening")
    yield empty_store, Person(page), f"{address}/ground/{feed}/sessions.ics"
    context.close()
    server.shutdown()
    thread.join()
    server.server_close()


def _app(store: Store) -> Flask:
    return create_app(store, Config("", "http://127.0.0.1"), lambda: AT_1740)


def _tonight(store: Store) -> dict[str, str]:
    return {b.holder: b.area for b in kept_bookings(store) if b.local[0] == A_WEDNESDAY}


def test_close_share_out_again_publish_and_all_are_told(
    evening: tuple[Store, Person, str],
) -> None:
    """Eight steps from the evening page to new ground for everybody, and into the calendars.

    At five or six seconds a step that is under a minute (common practice, no source).
    """
    store, person, feed = evening
    hit = [who for who, area in _tonight(store).items() if "north" in area]
    assert hit, "somebody trains on the north pitch tonight"
    person.press("Closures")
    person.choose("Ground", "Whole of North pitch")
    person.write("Why", "under water")
    person.press("Look what it displaces")
    for squad in hit:
        assert squad in person.page.locator("main").inner_text()
    person.press("Propose a new share-out")
    person.page.wait_for_url(re.compile(r"/desk/share-outs/\d+"))
    person.press("Publish")
    assert "Published" in person.page.locator("main").inner_text()
    assert len(person.steps) <= 8, person.steps
    after = _tonight(store)
    assert after.pop("under water") == "marsh-lane-north-pitch/whole"
    assert len(after) == 6, "everybody has a place"
    assert all("south" in area for area in after.values())
    with store.read() as session:
        noted = set(session.scalars(select(SquadRow.name).join_from(NoticeRow, SquadRow)))
    assert set(hit) <= noted, "everybody concerned is to be told"
    calendar = urllib.request.urlopen(feed, timeout=60).read().decode()  # noqa: S310 - our own
    assert "South pitch" in calendar


def test_close_with_the_places_proposed(evening: tuple[Store, Person, str]) -> None:
    """The quick way: the places shown are free and disturb nobody else; one button does it."""
    store, person, _ = evening
    others = {w: a for w, a in _tonight(store).items() if "north" not in a}
    person.press("Close North pitch")
    person.write("Why", "under water")
    person.press("Look what it displaces")
    person.press("Close it and settle these sessions")
    text = person.page.locator("main").inner_text()
    assert "Whole of North pitch is closed." in text
    after = _tonight(store)
    assert {who: after[who] for who in others} == others, "nobody else was disturbed"
    assert all("south" in after[who] for who in after if who != "under water")
    assert len(person.steps) <= 4, person.steps
    person.press("Club")
    person.press("Changes")
    person.press("Take back")
    assert "Taken back: closed Whole of North pitch" in person.page.locator("main").inner_text()
    assert "under water" not in _tonight(store)
