"""17:40, the top pitch is under water: three people, one evening, until everybody knows again.

Browsers, mails and notices are real, each taken on this machine: pages by Chromium, mails by SMTP,
notices by a push service, and what a parent has in the calendar by a calendar that goes by RFC 5546
alone.
"""

from __future__ import annotations

import urllib.request
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

from clubplanner.domain.club.people import Role
from clubplanner.services.calendars.calendar_links import LinkKind, LinkWish, create_link
from clubplanner.services.mails.sending.delivering import deliver
from clubplanner.services.people.people import PersonDraft, add_person
from clubplanner.services.people.ways_in.browsers import open_browser
from clubplanner.services.pushes.delivering import deliver_pushes
from clubplanner.services.pushes.readers import tell_browser
from tests.browser.pressing import press
from tests.browser.served import Site
from tests.browser.test_groundskeeper import Tapper
from tests.browser.test_tonight import Hand
from tests.builders import NOW
from tests.mail_server import mail_server
from tests.ports import free_port
from tests.push_service import Phone, push_service
from tests.small_club import HARRIERS, KESTRELS, book, kept_bookings, load_small_club, pitch_feature
from tests.world.calendars import StubbornCalendar

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from playwright.sync_api import Browser, Page

    from clubplanner.store.engine import Store
    from tests.mail_server import Postbox
    from tests.push_service import Service

pytestmark = pytest.mark.browser

AT_1740 = datetime(2026, 11, 25, 17, 40, 7, 482_193, tzinfo=UTC)
SQUADS = """\
squad,age group,players,coach,coach e-mail,coach phone,sessions a week,minutes,possible,least ground
U12 Kestrels,U12,14,Robin Hale,robin@alderby.example,,1,75,Wed 18:00-19:15,third
U14 Harriers,U14,16,Sam Reed,,01632 960 017,1,60,Wed 18:00-19:00,third
"""
"""One coach reads mails, the other can only be rung (01632 960: numbers that Ofcom keeps free for
invented people, from memory)."""
PITCHES = (
    pitch_feature("Top pitch", 100, 64, surface="artificial", floodlights=True),
    pitch_feature("Low pitch", 60, 40, surface="artificial", floodlights=True, cuts=[]),
)
"""Two squads train on the first; only one of them finds room on the second."""
PHONE_PX, DESK_PX = 360, 1280
HIGH_PX = 740
RING_SAM = "Ring Sam Reed, 01632 960 017 (U14 Harriers). No mail address is noted."


@dataclass(slots=True)
class Clock:
    """The evening's clock, at odd microseconds; it goes on when it is told to."""

    now: datetime = AT_1740

    def __call__(self) -> datetime:
        """Return the present instant."""
        return self.now

    def go_on(self, minutes: int) -> None:
        """Let some minutes pass."""
        self.now += timedelta(minutes=minutes, microseconds=13)


@dataclass(slots=True)
class Parent:
    """Somebody whose child is on the way: an address, two calendars, a phone.

    Attributes:
        email: Where mails go.
        address: The squad's page.
        phone: Told by push.
        fetching: A calendar that fetches the squad's feed.
        invited: A calendar that knows what is mailed alone.
    """

    email: str
    address: str
    phone: Phone = field(default_factory=Phone)
    fetching: StubbornCalendar = field(default_factory=StubbornCalendar)
    invited: StubbornCalendar = field(default_factory=StubbornCalendar)

    def fetch(self) -> tuple[bool, str]:
        """Fetch the feed; return whether tonight is on, and where."""
        with urllib.request.urlopen(f"{self.address}/sessions.ics", timeout=60) as feed:  # noqa: S310 - our own
            self.fetching.take(feed.read())
        return _tonight(self.fetching)

    def read_mails(self, box: Postbox) -> tuple[bool, str]:
        """Let the calendar take what was mailed; return whether tonight is on, and where."""
        for mail, (_sender, to) in zip(box.taken, box.envelopes, strict=True):
            for part in mail.walk() if to == [self.email] else ():
                if part.get_content_type() == "text/calendar":
                    self.invited.take(part.get_payload(decode=True))  # type: ignore[arg-type]
        return _tonight(self.invited)

    def read_notices(self, service: Service) -> list[str]:
        """Return what the phone was told so far, each signed by the club's key."""
        mine = [taken for taken in service.taken if taken.path == self.phone.path]
        assert all(taken.claims()["aud"] == service.address for taken in mine)
        return [self.phone.read(taken.body)["body"] for taken in mine]


def _tonight(calendar: StubbornCalendar) -> tuple[bool, str]:
    (entry,) = calendar.entries.values()
    return entry.is_on, entry.place


@dataclass(slots=True)
class Evening:
    """A served club and what reaches its people."""

    site: Site
    browser: Browser
    clock: Clock
    box: Postbox
    service: Service

    def sign_in(self, name: str, role: Role, width: int, *squads: str) -> Page:
        """Give somebody a browser of that width."""
        store = self.site.store
        number = add_person(store, PersonDraft(name, role, "", squads), NOW)
        with store.write() as session:
            secret = open_browser(session, number, "A browser", NOW)
        page = self.open_browser(width)
        page.context.add_cookies([{"name": "person", "value": secret, "url": self.site.address}])
        return page

    def open_browser(self, width: int) -> Page:
        """Open a browser, with a touch screen where it is narrow."""
        size = {"width": width, "height": HIGH_PX}
        return self.browser.new_context(viewport=size, has_touch=width < DESK_PX).new_page()  # type: ignore[arg-type]

    def add_parent(self, squad: str, email: str) -> Parent:
        """Let a parent have the squad's address, with mails and notices."""
        made = create_link(self.site.store, LinkWish(LinkKind.SQUAD, squad, email, email), NOW)
        parent = Parent(email, self.site.address + made.path)
        secret = made.path.rsplit("/", 1)[1]
        tell_browser(self.site.store, secret, parent.phone.wish(self.service), NOW)
        return parent

    def tell(self) -> None:
        """Let the worker send what is due, as the command does, a minute later."""
        self.clock.go_on(1)
        store, config = self.site.store, self.site.config
        pushed = deliver_pushes(store, config, self.clock, at_once=True, post=self.service.post)
        mailed = deliver(store, config, self.clock, at_once=True)
        assert (pushed.sent, pushed.waiting, pushed.ended) == (2, 0, 0), "a phone a squad"
        assert (mailed.sent, mailed.waiting, mailed.ended) == (3, 0, 0), "two parents and a coach"


@pytest.fixture
def evening(empty_store: Store, browser: Browser, tmp_path: Path) -> Iterator[Evening]:
    """Serve two squads that train from 18:00 on the top pitch, with mail and push services."""
    load_small_club(empty_store, squads=SQUADS, pitches=PITCHES)
    book(empty_store, KESTRELS, "third-1")
    book(empty_store, HARRIERS, "third-2", end_min=19 * 60)
    clock = Clock()
    with mail_server() as box, push_service(tmp_path) as service:
        site = Site(empty_store, free_port(), clock=clock, mail_server=box.settings)
        site.begin()
        before = set(browser.contexts)
        yield Evening(site, browser, clock, box, service)
        for context in set(browser.contexts) - before:
            context.close()
        site.end()


def _places(store: Store) -> dict[str, str]:
    """Return where each session is, by its uid: names of holders follow the records."""
    return {kept.uid: kept.area for kept in kept_bookings(store) if kept.holder != "waterlogged"}


def _outcome(page: Page) -> str:
    """Return what a page says before all else of tonight; it is seen without scrolling."""
    banner = page.locator("main .state").first
    box = banner.bounding_box()
    heading = page.locator("main h1, main h2.where").first.bounding_box()
    assert box is not None
    assert heading is not None
    assert box["y"] <= heading["y"], "nothing of the place comes before it"
    assert box["y"] + box["height"] <= HIGH_PX
    return banner.inner_text()


def test_closed_told_opened_and_told_again(evening: Evening) -> None:
    """Ground is closed in three taps and opened in two; whoever is concerned is right each time."""
    store = evening.site.store
    keeper = Tapper(evening.sign_in("Lee", Role.GROUNDSKEEPER, PHONE_PX))
    coach = Hand(evening.sign_in("Robin Hale", Role.COACH, PHONE_PX, KESTRELS))
    secretary = Hand(evening.sign_in("Kim", Role.SECRETARY, DESK_PX))
    family = Hand(evening.open_browser(PHONE_PX))
    jo = evening.add_parent(KESTRELS, "jo@home.example")
    ada = evening.add_parent(HARRIERS, "ada@home.example")
    before = _places(store)
    assert jo.fetch()[0]
    assert ada.fetch()[0]
    close_top_pitch(evening, keeper)
    assert list(_places(store).values()) == ["marsh-lane-low-pitch/whole"]
    look_as_coach(evening, coach)
    look_whom_to_ring(evening, secretary)
    evening.tell()
    hold_off_or_moved(evening, jo, ada)
    look_as_family(family, ada)
    look_who_was_mailed(secretary)
    evening.clock.go_on(8)
    open_top_pitch(evening, keeper)
    assert _places(store) == before
    evening.tell()
    hold_on_again(evening, jo, ada)
    look_again(coach, "Clubhouse third")
    look_again(family, "Middle third")


def close_top_pitch(evening: Evening, keeper: Tapper) -> None:
    """The groundskeeper closes it, and reads who is told and who is to be rung."""
    keeper.page.goto(f"{evening.site.address}/desk/evening")
    keeper.press("link", "Close Top pitch")
    keeper.press("button", "Waterlogged")
    keeper.press("button", "Close it and settle these sessions")
    assert keeper.taps == 3
    said = keeper.page.inner_text("main")
    assert "1 session moved, 1 withdrawn." in said
    assert "Who knows: 3 told by mail, 1 not reached" in said
    assert RING_SAM in said


def look_as_coach(evening: Evening, coach: Hand) -> None:
    """The coach sees it at once, before any mail: the outcome first, and why."""
    coach.page.goto(f"{evening.site.address}/coach")
    said = _outcome(coach.page)
    assert said.startswith("Moved today: now 18:00–19:15, Whole of Low pitch.")
    assert "Why: waterlogged." in said
    coach.look("coach-moved")


def look_whom_to_ring(evening: Evening, secretary: Hand) -> None:
    """The secretary sees whom only a telephone reaches, and about whom mails are to go."""
    page = secretary.page
    page.goto(f"{evening.site.address}/desk/evening")
    press(page.locator("summary", has_text="Whom to ring"))
    expect(page.get_by_text(RING_SAM)).to_be_visible()
    number = page.get_by_role("link", name="01632 960 017").first
    expect(number).to_have_attribute("href", "tel:01632960017")
    secretary.look("secretary-rings")
    page.goto(f"{evening.site.address}/desk/season/mails")
    expect(page.get_by_text("1 booking about to be mailed.")).to_have_count(2)


def hold_off_or_moved(evening: Evening, jo: Parent, ada: Parent) -> None:
    """Calendars and phones of one squad say moved, those of the other off."""
    for is_on, place in (jo.fetch(), jo.read_mails(evening.box)):
        assert is_on
        assert "Low pitch" in place
    (moved,) = jo.read_notices(evening.service)
    assert moved.startswith("Moved: today (Wed 25 Nov), 18:00–19:15, Low pitch, Marsh Lane.")
    assert not ada.fetch()[0]
    assert not ada.read_mails(evening.box)[0]
    assert ada.read_notices(evening.service) == ["No training today (Wed 25 Nov): waterlogged."]


def look_as_family(family: Hand, parent: Parent) -> None:
    """The squad's page says that it is off, and why, before all else."""
    family.page.goto(parent.address)
    said = _outcome(family.page)
    assert said.startswith("No training today")
    assert "waterlogged" in said
    family.look("family-off")


def look_who_was_mailed(secretary: Hand) -> None:
    """The page of mails names everybody who got one."""
    secretary.page.reload()
    for who in ("Robin Hale", "jo@home.example", "ada@home.example"):
        expect(secretary.page.get_by_text(f"To {who} (")).to_have_count(1)


def open_top_pitch(evening: Evening, keeper: Tapper) -> None:
    """The groundskeeper opens it, and one press brings everybody back."""
    keeper.page.goto(f"{evening.site.address}/desk/evening")
    keeper.taps = 0
    keeper.press("link", "Open again")
    keeper.press("button", "Open it and bring back the ticked")
    assert keeper.taps == 2
    said = keeper.page.inner_text("main")
    assert "2 sessions are back where they were." in said
    assert RING_SAM in said


def hold_on_again(evening: Evening, jo: Parent, ada: Parent) -> None:
    """Calendars and phones say that both squads are on, where they were at first."""
    for parent, part in ((jo, "Clubhouse third"), (ada, "Middle third")):
        for is_on, place in (parent.fetch(), parent.read_mails(evening.box)):
            assert is_on
            assert f"Top pitch, {part}" in place
    _moved, back = jo.read_notices(evening.service)
    assert "18:00–19:15, Clubhouse third, Top pitch" in back.partition("It was")[0]
    _off, again = ada.read_notices(evening.service)
    assert again == "On: today (Wed 25 Nov), 18:00–19:00, Middle third, Top pitch, Marsh Lane."


def look_again(hand: Hand, part: str) -> None:
    """A page that was looked at while it was closed says where the session is, and no more."""
    hand.page.reload()
    expect(hand.page.get_by_role("heading", name=part)).to_be_visible()
    expect(hand.page.locator("main .state")).to_have_count(0)
    hand.look(f"again-{part.partition(' ')[0]}")
