"""Notices to phones: who gets them, when, once, and through whatever happens to the worker.

Each is taken by a push service of our own and read by code that is not ours.
"""

from __future__ import annotations

import json
import re
import ssl
import subprocess
import sys
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any

import pytest
from sqlalchemy import select

from clubplanner.config import Config, MailServer
from clubplanner.domain.club.people import Role
from clubplanner.domain.club.told.notices import LONGEST_SETTLE, SETTLE
from clubplanner.language import speaking
from clubplanner.services.addresses.links import create_squad_link, revoke_squad_links
from clubplanner.services.calendars.calendar_links import LinkKind, LinkWish, create_link
from clubplanner.services.evening.bookings import move_booking, withdraw_booking
from clubplanner.services.mails.making.gathering import want_mail
from clubplanner.services.people.people import PersonDraft, add_person, end_access, see_person
from clubplanner.services.people.ways_in.browsers import end_browsers, open_browser, sign_out
from clubplanner.services.pushes.club_key import load_club_key
from clubplanner.services.pushes.delivering import PushDelivery, deliver_pushes
from clubplanner.services.pushes.readers import SignedInBrowser, stop_telling, tell_browser
from clubplanner.services.pushes.sending import Answer, Fate
from clubplanner.store.tables.push_tables import PushReaderRow, PushRow
from tests.builders import A_WEDNESDAY, make_range
from tests.push_service import Phone, Service
from tests.records import place_of
from tests.services.pushes.conftest import BEFORE, NOON
from tests.small_club import HARRIERS, KESTRELS, TOP, book, find_area_id

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

LATER = NOON + SETTLE
ADDRESS = "https://pitches.example"
SIX = datetime(2026, 11, 25, 18, tzinfo=UTC)
SENDER = MailServer("mail.example", 25, "none", "", "", "pitches@alderby.example")


def send(store: Store, service: Service, now: datetime = LATER, **options: Any) -> PushDelivery:
    """Deliver what is due."""
    config = Config("", ADDRESS, mail_server=SENDER)
    return deliver_pushes(store, config, lambda: now, **{"post": service.post, **options})


def tell(store: Store, service: Service, way: Any, now: datetime = BEFORE) -> Phone:
    """Let a new phone ask to be told."""
    phone = Phone()
    tell_browser(store, way, phone.wish(service), now)
    return phone


def booked(store: Store, **values: Any) -> int:
    """Book well ahead, so that nobody is told at once, and return the number."""
    return book(store, now=BEFORE, **values)


def coach_browser(store: Store, *squads: str) -> tuple[int, str]:
    """Sign a coach in; return the person's number and the browser's secret."""
    person = add_person(store, PersonDraft("Robin Hale", Role.COACH, "", squads), BEFORE)
    with store.write() as session:
        return person, open_browser(session, person, "A phone", BEFORE)


def readers(store: Store) -> int:
    """Count the browsers that are told."""
    with store.read() as session:
        return len(session.scalars(select(PushReaderRow.id)).all())


def test_a_phone_behind_an_address_is_told_that_tonight_is_off(
    store: Store, service: Service, secret: str
) -> None:
    """The outcome first, what comes next, which booking, and the page by no secret."""
    number = booked(store)
    booked(store, day=A_WEDNESDAY + timedelta(days=1), start_min=18 * 60 + 45, end_min=20 * 60)
    phone = tell(store, service, secret)
    withdraw_booking(store, number, 0, NOON)
    assert send(store, service) == PushDelivery(made=1, sent=1)
    (taken,) = service.taken
    told = phone.read(taken.body)
    assert told["title"] == "U12 Kestrels"
    assert told["body"] == "No training today (Wed 25 Nov). Next: tomorrow (Thu 26 Nov), 18:45."
    assert (told["tag"], told["date"], told["lang"]) == (f"booking-{number}", "2026-11-25", "en")
    assert re.fullmatch(r"address-\d+", told["place"])
    assert secret not in json.dumps(told)
    assert send(store, service, LATER + timedelta(hours=1)) == PushDelivery()


def test_the_request_is_as_the_standards_have_it(
    store: Store, service: Service, secret: str
) -> None:
    """Encoding, time to live until the end of the session, urgency, topic, and who sends.

    RFC 8030, sections 5.2 to 5.4; RFC 8188, section 2; RFC 8292, sections 2 and 3.
    """
    tell(store, service, secret)
    book(store, now=NOON)
    send(store, service)
    (taken,) = service.taken
    headers = taken.headers
    ends_at = SIX + timedelta(minutes=75)
    assert headers["ttl"] == str(int((ends_at - LATER).total_seconds()))
    assert headers["urgency"] == "high"
    assert headers["content-encoding"] == "aes128gcm"
    assert re.fullmatch(r"[A-Za-z0-9_-]{1,32}", headers["topic"])
    claims = taken.claims()
    assert claims["aud"] == service.address
    assert LATER.timestamp() < claims["exp"] <= (LATER + timedelta(hours=24)).timestamp()
    assert claims["sub"] == "mailto:pitches@alderby.example"
    key = load_club_key(store, LATER)
    assert taken.key() == key.public
    assert key.private not in str(taken)
    assert key.private not in repr(key)


@pytest.mark.parametrize(
    ("config", "subject"),
    [(Config("", ADDRESS), ADDRESS), (Config("", "http://127.0.0.1:8000"), None)],
)
def test_without_a_mail_address_the_pages_say_who_sends(
    store: Store, service: Service, secret: str, config: Config, subject: str | None
) -> None:
    """Only an address with https may stand there (RFC 8292, section 2.1)."""
    tell(store, service, secret)
    book(store, now=NOON)
    deliver_pushes(store, config, lambda: LATER, post=service.post)
    assert service.taken[0].claims().get("sub") == subject


def test_a_coachs_phone_is_told_of_the_squads_they_look_after(
    store: Store, service: Service
) -> None:
    """Of those alone, and a tap leads to the squad's page on that date."""
    _, browser = coach_browser(store, KESTRELS)
    phone = tell(store, service, SignedInBrowser(browser))
    book(store, HARRIERS, "third-2", now=NOON)
    assert send(store, service) == PushDelivery()
    book(store, now=LATER)
    assert send(store, service, LATER + SETTLE) == PushDelivery(made=1, sent=1)
    told = phone.read(service.taken[0].body)
    assert told["path"] == "/coach/squads/u12-kestrels?date=2026-11-25"
    assert told["body"].startswith("On: today (Wed 25 Nov), 18:00–19:15, ")


def test_a_phone_behind_a_coachs_address_is_told_of_all_their_squads(
    store: Store, service: Service
) -> None:
    """As the calendar behind it shows them; a pitch's address tells nobody."""
    path = create_link(store, LinkWish(LinkKind.COACH, "Sam Reed", "Sam Reed"), BEFORE).path
    tell(store, service, path.rpartition("/")[2])
    book(store, HARRIERS, "third-2", now=NOON)
    book(store, now=NOON)
    assert send(store, service) == PushDelivery(made=1, sent=1)


def test_one_phone_is_told_once_by_however_many_ways(
    store: Store, service: Service, secret: str
) -> None:
    """A coach who is signed in and has the squad's address has one pocket."""
    _, browser = coach_browser(store, KESTRELS)
    phone = Phone()
    for way in (secret, SignedInBrowser(browser), create_squad_link(store, KESTRELS, "x", BEFORE)):
        tell_browser(store, way, phone.wish(service), BEFORE)
    book(store, now=NOON)
    assert send(store, service) == PushDelivery(made=1, sent=1)


def test_a_go_of_changes_is_one_notice_once_it_is_over(
    store: Store, service: Service, secret: str
) -> None:
    """It settles as for mails, and tells from what was first to what is last."""
    number = booked(store)
    phone = tell(store, service, secret)
    area = find_area_id(store, TOP, "third-2")
    move_booking(store, number, 0, area, make_range(A_WEDNESDAY), NOON)
    assert send(store, service, NOON + SETTLE / 2) == PushDelivery()
    withdraw_booking(store, number, 1, NOON + SETTLE / 2)
    assert send(store, service, NOON + SETTLE) == PushDelivery()
    assert send(store, service, NOON + SETTLE * 1.5) == PushDelivery(made=1, sent=1)
    assert "No training today" in phone.read(service.taken[0].body)["body"]
    assert SETTLE < LONGEST_SETTLE


def test_what_came_back_or_is_far_off_is_no_news(
    store: Store, service: Service, secret: str
) -> None:
    """Nor is what a secretary wants mailed besides."""
    number = booked(store)
    tell(store, service, secret)
    area, other = (find_area_id(store, TOP, name) for name in ("third-1", "third-2"))
    move_booking(store, number, 0, other, make_range(A_WEDNESDAY), NOON)
    move_booking(store, number, 1, area, make_range(A_WEDNESDAY), NOON)
    book(store, day=A_WEDNESDAY + timedelta(days=7), now=NOON)
    assert want_mail(store, KESTRELS, NOON) == 2
    assert send(store, service) == PushDelivery()


def test_what_happened_before_a_phone_asked_is_not_told(
    store: Store, service: Service, secret: str
) -> None:
    """Its owner has just seen the page."""
    book(store, now=NOON)
    tell(store, service, secret, NOON + timedelta(seconds=30))
    assert send(store, service) == PushDelivery()


def test_quiet_hours_hold_for_phones_as_for_mails(
    store: Store, service: Service, secret: str
) -> None:
    """Changed at night, told at seven; and a later word takes the place of one that waits."""
    tomorrow = A_WEDNESDAY + timedelta(days=1)
    number = booked(store, day=tomorrow)
    phone = tell(store, service, secret)
    night = datetime(2026, 11, 25, 23, tzinfo=UTC)
    area = find_area_id(store, TOP, "third-2")
    move_booking(store, number, 0, area, make_range(tomorrow), night)
    assert send(store, service, night + SETTLE) == PushDelivery(made=1)
    withdraw_booking(store, number, 1, night + timedelta(hours=1))
    assert send(store, service, night + timedelta(hours=2)) == PushDelivery(made=1)
    seven = datetime(2026, 11, 26, 7, tzinfo=UTC)
    assert send(store, service, seven - timedelta(seconds=1)) == PushDelivery()
    assert send(store, service, seven) == PushDelivery(sent=1)
    (taken,) = service.taken
    assert phone.read(taken.body)["body"] == "No training today (Thu 26 Nov)."


def test_each_phone_is_told_in_its_language(store: Store, service: Service, secret: str) -> None:
    """The one in which its owner read the page."""
    number = booked(store)
    with speaking("de"):
        phone = tell(store, service, secret)
    withdraw_booking(store, number, 0, NOON)
    send(store, service)
    told = phone.read(service.taken[0].body)
    assert (told["lang"], told["body"]) == ("de", "Kein Training heute (Mi. 25. Nov.).")


@pytest.mark.parametrize("status", [404, 410])
def test_a_phone_that_its_service_knows_no_more_is_forgotten(
    store: Store, service: Service, secret: str, status: int
) -> None:
    """By whatever way it was told (RFC 8030, section 7.3)."""
    _, browser = coach_browser(store, KESTRELS)
    phone = tell(store, service, secret)
    tell_browser(store, SignedInBrowser(browser), phone.wish(service), BEFORE)
    book(store, now=NOON)
    service.status = status
    assert send(store, service) == PushDelivery(made=1, ended=1)
    assert readers(store) == 0


@pytest.mark.parametrize("status", [429, 500, 503, 403])
def test_a_service_that_is_busy_is_tried_again(
    store: Store, service: Service, secret: str, status: int
) -> None:
    """After the usual pause, or as long as it asks for, with the same number, tag and topic."""
    phone = tell(store, service, secret)
    book(store, now=NOON)
    service.status, service.retry_after = status, "300"
    assert send(store, service) == PushDelivery(made=1, waiting=1)
    service.status = 201
    assert send(store, service, LATER + timedelta(minutes=4)) == PushDelivery()
    assert send(store, service, LATER + timedelta(minutes=5)) == PushDelivery(sent=1)
    first, second = service.taken
    assert phone.read(first.body) == phone.read(second.body)
    assert first.headers["topic"] == second.headers["topic"]
    assert first.body != second.body, "each message has a key and a salt of its own"
    with store.read() as session:
        assert session.scalars(select(PushReaderRow.answer)).one() == 201


def test_a_message_that_is_not_taken_ends_and_the_phone_stays(
    store: Store, service: Service, secret: str
) -> None:
    """The next one may be."""
    tell(store, service, secret)
    book(store, now=NOON)
    service.status = 413
    assert send(store, service) == PushDelivery(made=1, ended=1)
    with store.read() as session:
        words = session.scalars(select(PushRow.words)).one()
    assert words == "The service that carries notices to this phone answered 413."
    assert readers(store) == 1


def test_nobody_is_told_when_it_is_over(store: Store, service: Service, secret: str) -> None:
    """A service that was silent until then does not ring late."""
    tell(store, service, secret)
    book(store, now=NOON)
    service.status = 503
    send(store, service)
    service.status = 201
    assert send(store, service, SIX + timedelta(minutes=75)) == PushDelivery(ended=1)
    assert len(service.taken) == 1


def test_whoever_withdraws_an_address_ends_its_notices(
    store: Store, service: Service, secret: str
) -> None:
    """Also those that are made already."""
    tell(store, service, secret)
    book(store, now=NOON)
    service.status = 503
    assert send(store, service) == PushDelivery(made=1, waiting=1)
    revoke_squad_links(store, KESTRELS, LATER)
    assert send(store, service, LATER + timedelta(hours=1)) == PushDelivery(ended=1)
    assert readers(store) == 0
    assert len(service.taken) == 1


@pytest.mark.parametrize("way", ["itself", "elsewhere", "access", "unused"])
def test_a_browser_that_is_signed_out_is_told_no_more(
    store: Store, service: Service, way: str
) -> None:
    """Signed out by itself, by its owner elsewhere, by the end of access or for want of use."""
    person, browser = coach_browser(store, KESTRELS)
    tell(store, service, SignedInBrowser(browser))
    now = NOON
    if way == "itself":
        sign_out(store, browser)
    elif way == "elsewhere":
        end_browsers(store, person)
    elif way == "access":
        end_access(store, person, see_person(store, person).version, NOON)
    else:
        now = NOON + timedelta(days=91)
    book(store, day=now.date(), now=now)
    assert send(store, service, now + SETTLE) == PushDelivery()
    assert readers(store) == 0
    assert service.taken == []


def test_a_phone_that_is_switched_off_is_told_no_more(
    store: Store, service: Service, secret: str
) -> None:
    """And what was kept for it is gone, with what it was told; another phone stays."""
    phone, _other = tell(store, service, secret), tell(store, service, secret)
    book(store, now=NOON)
    assert send(store, service) == PushDelivery(made=2, sent=2)
    stop_telling(store, secret, phone.wish(service).endpoint, LATER)
    assert readers(store) == 1
    with store.read() as session:
        assert len(session.scalars(select(PushRow)).all()) == 1


def test_two_workers_send_a_notice_once(store: Store, service: Service, secret: str) -> None:
    """Whoever comes second finds it taken."""
    tell(store, service, secret)
    book(store, now=NOON)

    def slow(envelope: Any) -> Answer:
        assert send(store, service) == PushDelivery()
        return service.post(envelope)

    assert send(store, service, post=slow) == PushDelivery(made=1, sent=1)
    assert len(service.taken) == 1


def test_switched_off_while_on_its_way_it_ends_in_peace(
    store: Store, service: Service, secret: str
) -> None:
    """Nothing is left to be noted then."""
    phone = tell(store, service, secret)
    book(store, now=NOON)

    def slow(_envelope: Any) -> Answer:
        stop_telling(store, secret, phone.wish(service).endpoint, LATER)
        return Answer(Fate.TAKEN, 201)

    assert send(store, service, post=slow) == PushDelivery(made=1, sent=1)
    assert readers(store) == 0


def test_old_notices_are_forgotten(store: Store, service: Service, secret: str) -> None:
    """After a month, when the next one is made."""
    tell(store, service, secret)
    book(store, now=NOON)
    send(store, service)
    later = NOON + timedelta(days=35)
    book(store, day=later.date(), now=later)
    assert send(store, service, later + SETTLE) == PushDelivery(made=1, sent=1)
    with store.read() as session:
        assert len(session.scalars(select(PushRow)).all()) == 1


def test_killed_between_any_two_steps_nothing_is_lost_or_rings_twice(
    store: Store, service: Service, secret: str
) -> None:
    """A worker is killed at each transaction, commit and hand-over in turn; another one follows.

    Whatever happened, there is one notice for the change, it arrived, and every copy that arrived
    says the same under the same number: the phone rings for it once.
    """
    number = booked(store)
    phone = tell(store, service, secret)
    withdraw_booking(store, number, 0, NOON)
    store.close()
    program = [sys.executable, "-m", "tests.services.pushes.deliver_process"]
    wish = phone.wish(service)
    arguments = [str(place_of(store)), LATER.isoformat()]
    done = subprocess.run(
        [*program, *arguments],
        input=_authority(service),
        check=True,
        capture_output=True,
        timeout=300,
        text=True,
    )
    lines = [json.loads(line) for line in done.stdout.splitlines()]
    assert len(lines) > 15, "every step was killed at"
    assert [line["alive"] for line in lines] == [False] * (len(lines) - 1) + [True]
    for line in lines:
        assert (line["states"], line["undone"]) == (["sent"], 0), line
    told = [phone.read(taken.body) for taken in service.taken]
    numbers = {notice.pop("number") for notice in told}  # of the one notice that each line found
    assert len(numbers) == 1 or store.engine.dialect.name == "postgresql"  # gives none twice
    assert len({json.dumps(notice, sort_keys=True) for notice in told}) == 1
    assert len({taken.headers["topic"] for taken in service.taken}) == 1
    assert len(service.taken) > len(lines), "some were killed after handing over, before noting it"
    assert {taken.path for taken in service.taken} == {wish.endpoint.removeprefix(service.address)}


def _authority(service: Service) -> str:
    """Return the service's certificate."""
    assert service.reach.tls is not None
    (der,) = service.reach.tls.get_ca_certs(binary_form=True)
    return ssl.DER_cert_to_PEM_cert(der)
