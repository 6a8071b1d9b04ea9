"""The small club after some weeks of use: something in every table, by the services themselves.

    python -m tests.store.lived_in 0004

writes such a database as it is made today into `tests/store/earlier/`, as SQL text. Run it once
when a step of the history lands; the file is kept from then on, and never made again.
"""

from __future__ import annotations

import json
import secrets
import sqlite3
import sys
import tempfile
from contextlib import closing
from dataclasses import asdict, dataclass
from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from cryptography.hazmat.primitives.asymmetric import ec
from sqlalchemy import select

from clubplanner.config import Config, MailServer
from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.booked.closures import Condition
from clubplanner.domain.club.people import Person, Role
from clubplanner.domain.times.hours_typed import range_typed_until
from clubplanner.inputs.club_files.club_file import ClubFile
from clubplanner.outputs.pushes.encryption import AUTH_OCTETS, CURVE, as_words
from clubplanner.outputs.pushes.signature import words_from_key
from clubplanner.services.addresses.links import create_squad_link, load_form_secret
from clubplanner.services.addresses.looks import note_look
from clubplanner.services.addresses.public_address import settle_served
from clubplanner.services.calendars.busy_calendars import BusyWish, add_busy_calendar
from clubplanner.services.calendars.calendar_links import LinkKind, LinkWish, create_link
from clubplanner.services.evening.bookings import move_booking, withdraw_booking
from clubplanner.services.evening.closures.closing import ClosureWish, close_ground
from clubplanner.services.evening.matches.fixture_rows import load_fixtures
from clubplanner.services.evening.notice_board import turn_board
from clubplanner.services.giving.head_counts import say_who_comes
from clubplanner.services.giving.passing_on import pass_on
from clubplanner.services.giving.requests import SessionAsk, ask_for_session
from clubplanner.services.giving.swaps import offer_swap
from clubplanner.services.mails.sending.delivering import deliver
from clubplanner.services.mails.sending.pauses import note_refusal
from clubplanner.services.mails.sending.transport import Fate as MailFate
from clubplanner.services.mails.sending.turning_off import turn_mails
from clubplanner.services.pasting.kept_headings import keep_headings
from clubplanner.services.people.people import PersonDraft, add_person
from clubplanner.services.people.sent_forms import Sent, claim_form, note_answer
from clubplanner.services.people.ways_in.browsers import open_browser
from clubplanner.services.people.ways_in.passwords import create_secretary_key, set_password
from clubplanner.services.people.ways_in.sign_in_links import ask_to_sign_in
from clubplanner.services.people.ways_in.sign_in_tries import Source, count_try
from clubplanner.services.proposals.publishing import publish_share_out
from clubplanner.services.pushes.delivering import deliver_pushes
from clubplanner.services.pushes.readers import ReaderWish, tell_browser
from clubplanner.services.pushes.sending import Answer, Fate
from clubplanner.services.season.grass.wear import set_limit_by_guidance
from clubplanner.services.season.light.page import set_lamp_cost
from clubplanner.services.season.squads.own_seasons import set_squad_season
from clubplanner.services.season.year import keep_holiday, set_holiday_place
from clubplanner.services.setup.loading import load_files
from clubplanner.services.share_out.anew.anew import run_share_out
from clubplanner.services.share_out.runs.kept import ask_for_run
from clubplanner.services.share_out.runs.requests import RunRequest, Work
from clubplanner.sharing.values.problem import Effort
from clubplanner.store.engine import open_store
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.knowing_tables import FollowedRow, MailAnewRow
from clubplanner.store.tables.notice_tables import MailRow
from clubplanner.store.tables.restored_tables import RestoredRow
from clubplanner.store.upkeep.migrate import migrate
from tests.builders import A_WEDNESDAY, LONDON, NOW, make_range
from tests.small_club import (
    HALL,
    HARRIERS,
    KESTRELS,
    LOW,
    PITCHES,
    SETTINGS,
    TOP,
    book,
    find_area_id,
    pitch_feature,
    small_club_files,
)
from tests.stores import ALL_THE_SAME

if TYPE_CHECKING:
    from email.message import EmailMessage

    from clubplanner.store.engine import Store

FOLDER = Path(__file__).with_name("earlier")
EARLIER = NOW - timedelta(days=21)
PASSWORD = "four words of a secretary"
PUBLIC_ADDRESS = "https://pitches.example.org"
SHORT_SEASON = (
    SETTINGS.replace("2026-10-12", "2026-11-09")
    .replace("2027-04-09", "2026-12-18")
    .replace("2026-12-21", "2026-12-07")
    .replace("2027-01-03", "2026-12-13")
)
SHED = [{"corners_m": [[0.0, 0.0], [3.0, 0.0], [3.0, 3.0], [0.0, 3.0]]}]
SIZES = "code,age_from,age_to,players_a_side,length_m,width_m\n8v8-league,13,14,8,60,40\n"
FIXTURES = "date,kick-off,squad,opponent\n2026-11-28,10:00-12:00,U12 Kestrels,Brook End\n"


@dataclass(frozen=True, slots=True)
class WaysIn:
    """How people reach the pages of a lived-in club; all of it invented.

    Attributes:
        squad: Secret part of a squad's address, `/ground/<squad>`.
        coach: Of a coach's calendar, `/calendar/<coach>`.
        pitch: Of a pitch's calendar.
        browsers: The cookie of a signed-in browser, by role; good for weeks after `NOW`.
        password: The secretary's; her name is Kim Ashby.
    """

    squad: str
    coach: str
    pitch: str
    browsers: dict[str, str]
    password: str = PASSWORD


def live_in(store: Store) -> WaysIn:
    """Load the small club into a migrated store and use it for some weeks until `NOW`."""
    _load(store)
    browsers = _people(store)
    _past(store)
    _season(store)
    links = _calendars(store)
    _knowledge(store, links[0])
    _lately(store)
    _forms(store)
    return WaysIn(*links, browsers)


def _load(store: Store) -> None:
    top = pitch_feature(
        "Top pitch", 100, 64, surface="artificial", floodlights=True, obstacles=SHED
    )
    files = small_club_files(settings=SHORT_SEASON, pitches=(top, *PITCHES[1:]))
    load_files(store, [*files, ClubFile("sizes.csv", SIZES.encode())], EARLIER)


def _people(store: Store) -> dict[str, str]:
    key = create_secretary_key(store, NOW)
    browsers = {
        "secretary": set_password(
            store, key, "Kim Ashby", "kim@alderby.example", PASSWORD, "Firefox", NOW
        )
    }
    for name, role, squads in (
        ("Robin Hale", Role.COACH, (KESTRELS,)),
        ("Alex Marsh", Role.GROUNDSKEEPER, ()),
    ):
        person = add_person(store, PersonDraft(name, role, "", squads), NOW)
        with store.write() as session:
            browsers[role.value] = open_browser(session, person, "Chrome on Android", NOW)
    ask_to_sign_in(store, "Alex Marsh", "", "Chrome on Android", NOW)
    count_try(store, "Nobody", Source("192.0.2.7"), NOW)
    return browsers


def _past(store: Store) -> None:
    """What took place before the present, by hand."""
    past = date(2026, 11, 4)
    book(store, day=past, now=EARLIER)
    book(store, HARRIERS, "third-2", day=past, now=EARLIER)
    gone = book(store, day=past + timedelta(days=1), now=EARLIER)
    withdraw_booking(store, gone, 0, EARLIER)


def _season(store: Store) -> None:
    book(store, "Hill Runners", "third-3", purpose=Purpose.HIRE, note="Bring cones")
    mine = book(store, KESTRELS, "third-1")
    other = book(store, HARRIERS, "third-2")
    soon = book(store, HARRIERS, "third-1", day=NOW.date(), start_min=20 * 60, end_min=21 * 60)
    during = make_range(NOW.date(), 20 * 60 + 15, 21 * 60 + 15)
    move_booking(store, soon, 0, find_area_id(store, TOP, "third-2"), during, NOW, ALL_THE_SAME)
    number = run_share_out(store, "winter", Effort(seconds=3.0), NOW).number
    publish_share_out(store, number, NOW)
    set_holiday_place(store, "GB", "ENG")
    keep_holiday(store, date(2026, 12, 25))
    set_limit_by_guidance(store, "Low pitch", "undrained", "poor")
    set_lamp_cost(store, "marsh-lane", "8.50")
    set_squad_season(store, HARRIERS, None, date(2026, 12, 11))
    load_fixtures(store, ClubFile("fixtures.csv", FIXTURES.encode()))
    turn_board(store, is_on=True, now=NOW)
    coach = Person(0, "Robin Hale", Role.COACH, "", frozenset({KESTRELS}))
    kim = Person(0, "Kim Ashby", Role.SECRETARY, "")
    offer_swap(store, kim, mine, other, "Exams that evening", NOW, ALL_THE_SAME)
    full = SessionAsk(
        KESTRELS, A_WEDNESDAY + timedelta(days=2), 18 * 60, 19 * 60, 60, 1.0, "Before the final"
    )
    ask_for_session(store, coach, full, NOW)
    say_who_comes(store, A_WEDNESDAY, {KESTRELS: {"players": 9, "goalkeepers": 1}}, "Kim", NOW)
    low = find_area_id(store, LOW, "whole")
    first = NOW.date() + timedelta(days=4)
    closed = range_typed_until(first, 0, first + timedelta(days=1), 24 * 60, LONDON)
    close_ground(store, ClosureWish(low, closed, Condition.CLOSED, "waterlogged"), None, NOW)
    soft = range_typed_until(NOW.date(), 0, NOW.date() + timedelta(days=3), 24 * 60, LONDON)
    close_ground(store, ClosureWish(low, soft, Condition.NO_STUDS, "soft after rain"), None, NOW)
    ask_for_run(store, RunRequest(Work.STRETCH, Effort(seconds=30), stretch="winter"), NOW, NOW)


def _calendars(store: Store) -> tuple[str, str, str]:
    squad = create_squad_link(store, KESTRELS, "the squad", NOW)
    coach = create_link(store, LinkWish(LinkKind.COACH, "Robin Hale", "Robin Hale"), NOW).path
    pitch = create_link(store, LinkWish(LinkKind.PITCH, "Top pitch", "Alex Marsh"), NOW).path
    jo = create_link(store, LinkWish(LinkKind.SQUAD, HARRIERS, "Jo", "jo@alderby.example"), NOW)
    sent: list[EmailMessage] = []

    def keep(_server: MailServer, message: EmailMessage, _to: str) -> tuple[MailFate, str]:
        sent.append(message)
        return MailFate.TAKEN, ""

    server = MailServer("mail.example", 25, "none", "", "", "pitches@alderby.example")
    config = Config("", PUBLIC_ADDRESS, mail_server=server)
    deliver(store, config, lambda: NOW, at_once=True, send=keep)
    _tell_phone(store, config, jo.path.rpartition("/")[2])
    unsubscribe = str(sent[0]["List-Unsubscribe"]).strip("<>").rpartition("/")[2]
    turn_mails(store, unsubscribe, off=True, now=NOW)
    starts = NOW + timedelta(days=1, hours=6)
    event = f"UID:1@x\r\nDTSTART:{starts:%Y%m%dT%H%M%SZ}\r\nDURATION:PT1H\r\nSUMMARY:Choir"
    data = f"BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\n{event}\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n"
    hall = find_area_id(store, HALL, "whole")
    add_busy_calendar(store, BusyWish("Parish council", hall, data=data.encode()), NOW)
    return squad, coach.rpartition("/")[2], pitch.rpartition("/")[2]


def _knowledge(store: Store, secret: str) -> None:
    """What somebody saw, and what three rare turns leave behind, put there as they would."""
    note_look(store, secret, NOW)
    with store.write() as session:
        booking = session.scalars(select(BookingRow).order_by(BookingRow.id)).first()
        mail = session.scalars(select(MailRow).order_by(MailRow.id)).first()
        if booking is None or mail is None:
            raise ValueError("Book and mail something first.")
        session.add(FollowedRow(booking_id=booking.id, address=mail.address, sequence=1))
        session.add(MailAnewRow(mail_id=mail.id, at=NOW))
        session.add(
            RestoredRow(at=EARLIER, taken_at=EARLIER, change_id=None, found={}, seen_at=NOW)
        )


def _tell_phone(store: Store, config: Config, secret: str) -> None:
    """Let a phone be told of what was moved today; its keys are nobody's."""
    public = words_from_key(ec.derive_private_key(1, CURVE))[1]
    wish = ReaderWish("https://push.example/jo", public, as_words(bytes(AUTH_OCTETS)))
    tell_browser(store, secret, wish, EARLIER)
    taken = Answer(Fate.TAKEN, 201)
    deliver_pushes(store, config, lambda: NOW, at_once=True, post=lambda _: taken)


def _lately(store: Store) -> None:
    """Pass a session on, and remember what the club calls a column of its table."""
    with store.read() as session:
        row = session.scalars(
            select(BookingRow)
            .where(BookingRow.starts_at > NOW, BookingRow.is_withdrawn.is_(False))
            .where(BookingRow.squad.has(key=KESTRELS))
            .order_by(BookingRow.starts_at)
        ).first()
    if row is None:
        raise ValueError("Book something for the squad first.")
    coach = Person(0, "Robin Hale", Role.COACH, "", frozenset({KESTRELS}))
    pass_on(store, coach, row.id, "Jo", NOW, may_count=True)
    with store.write() as session:
        keep_headings(session, "squads", ["Mannschaft"], ["squad"])


def _forms(store: Store) -> None:
    load_form_secret(store)
    claim = claim_form(store, secrets.token_urlsafe(16), NOW)
    if isinstance(claim, Sent):
        raise TypeError("A new form has been sent before.")
    note_answer(store, claim, "/desk/season/year")
    with store.write() as session:
        note_refusal(session, "The mail server asks for a password.", NOW)
    settle_served(Config("", PUBLIC_ADDRESS), store, "127.0.0.1", 8000, NOW)


def main() -> int:
    """Write the database of the step that is named."""
    target = FOLDER / f"{sys.argv[1]}.sql"
    if target.exists():
        print(f"{target} is kept as it was made; name another step.", file=sys.stderr)
        return 1
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "club.sqlite"
        store = open_store(f"sqlite:///{path}")
        migrate(store)
        ways_in = live_in(store)
        store.close()
        with closing(sqlite3.connect(path)) as connection:
            lines = [f"-- {json.dumps(asdict(ways_in))}", *connection.iterdump()]
    target.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
