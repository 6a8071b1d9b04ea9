"""Pictures of every page, as every kind of person sees it, at two widths: for a look at them all.

    python -m tests.browser.screenshots FOLDER [--dark]

Writes a PNG a page and `index.html`, which shows them side by side.
"""

from __future__ import annotations

import argparse
import html
import re
import shutil
import sys
import threading
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import urlencode

import waitress
from playwright.sync_api import sync_playwright
from sqlalchemy import select

from clubplanner.config import Config, MailServer
from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.booked.closures import Condition
from clubplanner.domain.booked.hires import HireTimes
from clubplanner.domain.club.people import Person, Role
from clubplanner.domain.times.hours_typed import range_typed_until
from clubplanner.inputs.club_files.club_file import ClubFile
from clubplanner.resources import invented_club_files
from clubplanner.services.addresses.links import create_squad_link
from clubplanner.services.calendars.busy_calendars import BusyWish, add_busy_calendar
from clubplanner.services.calendars.calendar_links import LinkKind, LinkWish, create_link
from clubplanner.services.evening.closures.closing import ClosureWish, close_ground
from clubplanner.services.evening.matches.fixture_rows import load_fixtures
from clubplanner.services.evening.notice_board import turn_board
from clubplanner.services.giving.passing_on import pass_on
from clubplanner.services.giving.requests import SessionAsk, ask_for_session
from clubplanner.services.giving.swap_pages import see_own_session
from clubplanner.services.giving.swaps import offer_swap
from clubplanner.services.hires.booking import book_hire
from clubplanner.services.hires.dates import HireWish
from clubplanner.services.mails.making.gathering import want_mail
from clubplanner.services.mails.sending.delivering import deliver
from clubplanner.services.mails.sending.transport import Fate
from clubplanner.services.people.people import PersonDraft, add_person
from clubplanner.services.people.ways_in.browsers import open_browser
from clubplanner.services.people.ways_in.passwords import create_secretary_key
from clubplanner.services.people.ways_in.sign_in_links import ask_to_sign_in, hand_over_link
from clubplanner.services.proposals.publishing import publish_share_out
from clubplanner.services.rows.club.club import club_zone
from clubplanner.services.rows.named import find_area_id
from clubplanner.services.rows.snapshot import load_squads
from clubplanner.services.season.grass.wear import set_limit_by_guidance
from clubplanner.services.season.year import set_holiday_place
from clubplanner.services.setup.loading import load_files
from clubplanner.services.share_out.anew.anew import run_share_out
from clubplanner.services.share_out.runs.kept import ask_for_run
from clubplanner.services.share_out.runs.requests import RunRequest, Work
from clubplanner.services.webhooks.delivering import deliver_webhooks
from clubplanner.services.webhooks.sending import Answer
from clubplanner.services.webhooks.sending import Fate as WebhookFate
from clubplanner.services.webhooks.webhooks import add_webhook
from clubplanner.sharing.values.problem import Effort
from clubplanner.store.engine import open_store
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.upkeep.migrate import migrate
from clubplanner.webapp import create_app
from clubplanner.webapp.base.programs import ROOT
from clubplanner.webapp.base.security import ANYBODY, roles_of
from tests.browser.conftest import FLAGS, NAMES
from tests.services.money.money_club import fill_money

if TYPE_CHECKING:
    from collections.abc import Iterator
    from email.message import EmailMessage

    from flask import Flask
    from playwright.sync_api import Browser

    from clubplanner.store.engine import Store

NOW = datetime(2027, 4, 12, 15, 0, 7, 482_193, tzinfo=UTC)
"""A Monday afternoon in the invented club's spring."""
WIDTHS = {"phone": (360, 740), "laptop": (1280, 850)}
SQUAD = "u13-kestrels"
NOT_PAGES = (
    "/health",
    "/metrics",
    ".png",
    ".ics",
    ".js",
    ".pdf",
    ".geojson",
    ".json",
    ".csv",
    ".xlsx",
    ".zip",
    ".webmanifest",
)
"""Routes that end so send no page."""
STRANGER = "stranger"


@dataclass(frozen=True, slots=True)
class Shot:
    """A picture to take: as whom, of which path, and the file's stem."""

    who: str
    path: str
    stem: str


@dataclass(frozen=True, slots=True)
class Club:
    """A club that is served with something on every page.

    Attributes:
        app: Its web app.
        values: What stands in place of the parts of an address.
        secrets: The secret of a signed-in browser, by role.
    """

    app: Flask
    values: dict[str, str]
    secrets: dict[str, str]


def make_club(store: Store, address: str, seconds: float = 6.0, language: str = "en") -> Club:
    """Fill a migrated store with the invented club, its spring shared out, and people."""
    files = [(path.name, path.read_bytes()) for path in invented_club_files()]
    load_files(store, [ClubFile(name, in_language(data, language)) for name, data in files], NOW)
    number = run_share_out(store, "spring", Effort(seconds=seconds), NOW).number
    publish_share_out(store, number, NOW)
    people = (
        ("Kim Ashby", Role.SECRETARY, ()),
        ("Maren Holloway", Role.COACH, (SQUAD, "u14-harriers")),
        ("Alex Marsh", Role.GROUNDSKEEPER, ()),
    )
    secrets, numbers = {}, {}
    for name, role, squads in people:
        person = numbers[role] = add_person(store, PersonDraft(name, role, "", squads), NOW)
        with store.write() as session:
            secrets[role.value] = open_browser(session, person, "Firefox on Android", NOW)
            open_browser(session, person, "Safari on an iPad", NOW)
    turn_board(store, is_on=True, now=NOW)
    ask_to_sign_in(store, "Alex Marsh", "", "Chrome on Android", NOW)
    values = {
        "let-in": hand_over_link(store, numbers[Role.COACH], NOW),
        "secretary": create_secretary_key(store, NOW),
        "secret": create_squad_link(store, SQUAD, "the coach", NOW),
        "number": "1",
        "kind": "squads",
        "key": SQUAD,
        "board": "osier-lane",
        "venue": "osier-lane",
        "pitch": "osier-lane-meadow",
        "guide": "coach",
        "/desk/squads/<key>/end": f"/desk/squads/{SQUAD}/end?from=2027-05-03",
        "/desk/season/year/stretches/<key>": "/desk/season/year/stretches/spring?"
        "stretch_name=Spring&stretch_first=2027-04-12&stretch_last=2027-06-18",
        **fill_season(store),
        **fill_money(store, NOW),
        **fill_calendars(store, address),
    }
    return Club(create_app(store, Config("", address), lambda: NOW), values, secrets)


def in_language(data: bytes, language: str) -> bytes:
    """Return a file of the invented club as a club of that language would have it.

    Parts of a pitch are called in the club's language; what was booked on one takes the whole.
    """
    if language == "en":
        return data
    whole = re.sub(rb"(?m)^area = .*\n", b"", data)
    return whole.replace(b"[club]", f'[club]\nlanguage = "{language}"'.encode())


def fill_season(store: Store) -> dict[str, str]:
    """Put something on every page of the running season, and return addresses by their rules."""
    set_holiday_place(store, "GB", "ENG")
    set_limit_by_guidance(store, "Meadow", "undrained", "poor")
    fixtures = "date,kick-off,squad,opponent\n2027-04-17,10:00-12:00,U7 Wrens,Brook End\n"
    load_fixtures(store, ClubFile("fixtures.csv", fixtures.encode()))
    meadow, top = find_area_id(store, "Meadow"), find_area_id(store, "Top pitch")
    zone = club_zone(store)
    soft = range_typed_until(NOW.date(), 0, NOW.date() + timedelta(days=3), 24 * 60, zone)
    wish = ClosureWish(meadow, soft, Condition.NO_STUDS, "soft after rain")
    close_ground(store, wish, None, NOW)
    squads = frozenset({SQUAD, "u14-harriers"})
    coach = Person(0, "Maren Holloway", Role.COACH, "", squads)
    with store.read() as session:
        own = [
            row
            for row in session.scalars(
                select(BookingRow).where(BookingRow.starts_at > NOW).order_by(BookingRow.starts_at)
            )
            if row.squad is not None and row.purpose is Purpose.TRAINING
        ]
        coach_of = {squad.key: squad.coach_key for squad in load_squads(session)}
        by = coach_of[SQUAD]
        theirs = {
            row.starts_at.date() for row in own if row.squad and coach_of[row.squad.key] == by
        }
        ours = [row.id for row in own if row.squad is not None and row.squad.key in squads]
    mine, other = next(
        (number, int(value))
        for number in ours
        for value, _words in see_own_session(store, coach, number, NOW).others
    )
    offer_swap(store, coach, mine, other, "Exams that evening", NOW)
    days = (NOW.date() + timedelta(days=n) for n in range(5))  # Monday to Friday
    idle = next(day for day in days if day not in theirs)
    whole = SessionAsk(SQUAD, idle, 18 * 60, 19 * 60, 60, 1.0, "Before the final")
    ask_for_session(store, coach, whole, NOW)
    look = urlencode(
        {
            "area": top,
            "date": NOW.date(),
            "from": "17:40",
            "until_date": NOW.date(),
            "until": "24:00",
            "condition": "closed",
            "reason": "waterlogged",
        }
    )
    change = urlencode(
        {
            "area": meadow,
            "until_date": NOW.date() + timedelta(days=4),
            "until": "24:00",
            "condition": "closed",
            "reason": "waterlogged",
        }
    )
    passed = pass_on(store, coach, mine, "Robin", NOW, may_count=True)
    hire = hire_out(store)
    request = RunRequest(Work.STRETCH, Effort(seconds=30), stretch="spring")
    ask_for_run(store, request, NOW, datetime.now(UTC))
    return {
        "/coach/sessions/<int:number>": f"/coach/sessions/{mine}",
        "/coach/sessions/<int:number>/pass-on": f"/coach/sessions/{mine}/pass-on",
        "/session/<secret>": f"/session/{passed}",
        "/desk/bookings/<int:number>": f"/desk/bookings/{mine}",
        "/desk/share-outs/<int:number>/else": "/desk/share-outs/1/else?place=0",
        "/desk/share-outs/bookings/<int:number>": f"/desk/share-outs/bookings/{mine}",
        "/desk/season/closures/look": f"/desk/season/closures/look?{look}",
        "/desk/season/closures/<int:number>/look": f"/desk/season/closures/1/look?{change}",
        "/desk/season/hires/<int:number>": f"/desk/season/hires/{hire}",
        "/desk/season/matches/<int:number>": "/desk/season/matches/1",
    }


def hire_out(store: Store) -> int:
    """Hire a pitch out on Saturdays, as far as it is free, and return the hire's number."""
    first = NOW.date() + timedelta(days=(5 - NOW.weekday()) % 7)
    times = HireTimes(first, first + timedelta(weeks=9), 1, 10 * 60, 11 * 60 + 30)
    ground = find_area_id(store, "Top pitch")
    wish = HireWish("Lantern walkers", ground, times, "Ada Nyman", "01632 960123")
    return book_hire(store, wish, NOW).number


def fill_calendars(store: Store, address: str) -> dict[str, str]:
    """Put something on the pages about calendars and mails, and return addresses by their rules."""
    pitch = LinkWish(LinkKind.PITCH, "Top pitch", "Alex Marsh", reminder_minutes=60)
    calendar = create_link(store, pitch, NOW).path
    create_link(store, LinkWish(LinkKind.SQUAD, SQUAD, "Robin", "robin@osier.example"), NOW)
    want_mail(store, SQUAD, NOW)
    sent: list[EmailMessage] = []

    def keep(_server: MailServer, message: EmailMessage, _to: str) -> tuple[Fate, str]:
        sent.append(message)
        return Fate.TAKEN, ""

    server = MailServer("mail.example", 25, "none", "", "", "pitches@osier.example")
    deliver(store, Config("", address, mail_server=server), lambda: NOW, at_once=True, send=keep)
    unsubscribe = str(sent[0]["List-Unsubscribe"]).strip("<>").removeprefix(address)
    starts = NOW + timedelta(days=1, hours=2)
    event = f"UID:1@x\r\nDTSTART:{starts:%Y%m%dT%H%M%SZ}\r\nDURATION:PT2H\r\nSUMMARY:Choir"
    data = f"BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\n{event}\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n"
    ground = find_area_id(store, "Top pitch")
    add_busy_calendar(store, BusyWish("Town council", ground, data=data.encode()), NOW)
    add_webhook(store, "Our website", "https://site.example/hook", Config("", address), NOW)
    refusal = Answer(WebhookFate.LATER, "The computer does not answer as it should.")
    deliver_webhooks(store, Config("", address), lambda: NOW, post=lambda _message: refusal)
    return {
        "/desk/webhooks/<int:number>": "/desk/webhooks/1",
        "/calendar/<secret>": calendar,
        "/mails/<secret>": unsubscribe,
        "/desk/season/mails/<int:number>": "/desk/season/mails/1",
        "/desk/season/busy/<int:number>": "/desk/season/busy/1",
    }


def list_shots(club: Club) -> list[Shot]:
    """List every page of the app for everybody who may open it.

    Raises:
        KeyError: If a part of an address has no example in `Club.values`.
    """
    shots: list[Shot] = []
    for rule in club.app.url_map.iter_rules():
        if "GET" not in (rule.methods or ()) or rule.rule.endswith(NOT_PAGES):
            continue
        if rule.endpoint == "static" or rule.rule.startswith(ROOT):
            continue
        path = example_address(rule.rule, club.values)
        roles = roles_of(club.app, rule.endpoint)
        everybody = [STRANGER] if roles == ANYBODY else sorted(role.value for role in roles)
        name = rule.endpoint.replace(".", "-")
        known = [who for who in everybody if who in (STRANGER, *club.secrets)]
        shots.extend(Shot(who, path, f"{who}-{name}") for who in known)
    return sorted(shots, key=lambda shot: (shot.who, shot.path))


def example_address(rule: str, values: dict[str, str]) -> str:
    """Return an address that a route's rule allows.

    Raises:
        KeyError: If a part of it has no example.
    """
    room = rule.strip("/").partition("/")[0]
    if rule in values:
        return values[rule]
    parts = []
    for part in rule.split("/"):
        if part.startswith("<"):
            name = part.strip("<>").rpartition(":")[2]
            parts.append(values[room] if name == "key" and room in values else values[name])
        else:
            parts.append(part)
    return "/".join(parts)


@contextmanager
def served(app: Flask, port: int) -> Iterator[None]:
    """Serve an app while pictures are taken."""
    server = waitress.create_server(app, host="127.0.0.1", port=port, threads=4)
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    try:
        yield
    finally:
        server.close()
        thread.join(60)


def take(
    browser: Browser, club: Club, address: str, folder: Path, *, is_dark: bool, only: str = ""
) -> list[Shot]:
    """Take every picture, or those of one kind of person only, and return what was taken."""
    shots = [shot for shot in list_shots(club) if shot.who == (only or shot.who)]
    for name, (width, height) in WIDTHS.items():
        for who in dict.fromkeys(shot.who for shot in shots):
            context = browser.new_context(
                viewport={"width": width, "height": height},
                color_scheme="dark" if is_dark else "light",
            )
            if who != STRANGER:
                context.add_cookies(
                    [{"name": "person", "value": club.secrets[who], "url": address}]
                )
            page = context.new_page()
            for shot in shots:
                if shot.who == who:
                    page.goto(address + shot.path)
                    page.screenshot(path=folder / f"{shot.stem}-{name}.png", full_page=True)
            context.close()
    return shots


def write_index(folder: Path, shots: list[Shot]) -> None:
    """Write the page that shows the pictures side by side."""
    lines = ["<!doctype html><meta charset=utf-8><title>Every page</title>"]
    lines.append("<style>img{border:1px solid #999;vertical-align:top;margin:4px}</style>")
    for shot in shots:
        lines.append(f"<h2>{html.escape(shot.who)}: {html.escape(shot.path)}</h2>")
        for name, width in (("laptop", 700), ("phone", 220)):
            lines.append(f'<img src="{shot.stem}-{name}.png" width="{width}" alt="{name}">')
    (folder / "index.html").write_text("\n".join(lines), encoding="utf-8")


def main() -> int:
    """Take the pictures that the command line asks for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--dark", action="store_true", help="in the dark colours")
    parser.add_argument("--port", type=int, default=8137)
    wanted = parser.parse_args()
    path = next((found for name in NAMES if (found := shutil.which(name))), None)
    if path is None:
        print("There is no Chromium on this machine (Debian: apt-get install chromium).")
        return 2
    wanted.folder.mkdir(parents=True, exist_ok=True)
    file = wanted.folder / "club.sqlite"
    file.unlink(missing_ok=True)
    store = open_store(f"sqlite:///{file}")
    migrate(store)
    address = f"http://127.0.0.1:{wanted.port}"
    club = make_club(store, address)
    with served(club.app, wanted.port), sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=list(FLAGS))
        shots = take(browser, club, address, wanted.folder, is_dark=wanted.dark)
        browser.close()
    write_index(wanted.folder, shots)
    store.close()
    print(f"{len(shots) * len(WIDTHS)} pictures: {wanted.folder / 'index.html'}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
