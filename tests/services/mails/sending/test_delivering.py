"""Mails about changes: who gets them, when, once, and through whatever happens to the worker."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any

import icalendar
import pytest
from sqlalchemy import select

from clubplanner.config import Config
from clubplanner.domain.club.told.notices import SETTLE
from clubplanner.errors import MissingError
from clubplanner.services.calendars.feeds import build_feed
from clubplanner.services.evening.bookings import move_booking, withdraw_booking
from clubplanner.services.mails.making.gathering import want_mail
from clubplanner.services.mails.sending.delivering import Delivery, deliver
from clubplanner.services.mails.sending.transport import Fate, send_mail
from clubplanner.services.mails.sending.turning_off import see_mail_choice, turn_mails
from clubplanner.store.tables.notice_tables import MailRow, NoticeRow
from tests.builders import A_WEDNESDAY, make_range
from tests.mail_server import SENDER, Postbox
from tests.records import place_of
from tests.small_club import (
    KESTRELS,
    SQUADS,
    TOP,
    book,
    find_area_id,
    load_small_club,
)

if TYPE_CHECKING:
    from email.message import EmailMessage

    from clubplanner.store.engine import Store

NOON = datetime(2026, 11, 25, 12, 0, 7, 482_193, tzinfo=UTC)
"""The Wednesday of the bookings, six hours before they start."""
LATER = NOON + SETTLE
ADDRESS = "https://pitches.example"
ROBIN, SAM = "robin@alderby.example", "sam@alderby.example"
WITH_ADDRESSES = (
    SQUADS.replace(",coach,", ",coach,coach e-mail,")
    .replace("Robin Hale,", f"Robin Hale,{ROBIN},")
    .replace("Sam Reed,", f"Sam Reed,{SAM},")
)


@pytest.fixture
def store(empty_store: Store) -> Store:
    """Give the small club, its coaches with mail addresses, nothing to tell."""
    return load_small_club(empty_store, squads=WITH_ADDRESSES)


def send(store: Store, box: Postbox | None, now: datetime = LATER, **options: Any) -> Delivery:
    """Deliver what is due."""
    server = None if box is None else box.settings
    return deliver(store, Config("", ADDRESS, mail_server=server), lambda: now, **options)


def quiet_booking(store: Store, **values: Any) -> int:
    """Book well ahead, so that nobody is told by mail, and return the number."""
    return book(store, now=NOON - timedelta(days=7), **values)


def events_of(mail: EmailMessage) -> list[tuple[str, Any]]:
    """Return method and event of every calendar part, checking that both methods agree."""
    found = []
    for part in mail.walk():
        if part.get_content_type() == "text/calendar":
            text: Any = part.get_payload(decode=True)
            calendar = icalendar.Calendar.from_ical(text)
            assert calendar["METHOD"] == part.get_param("method")
            found.append((str(calendar["METHOD"]), calendar.walk("VEVENT")[0]))
    return found


def test_a_change_within_a_day_is_mailed_to_the_coach(store: Store, box: Postbox) -> None:
    """Words, HTML and a calendar part with the event of the feed, from the club to the coach."""
    number = quiet_booking(store)
    assert send(store, box) == Delivery()
    area = find_area_id(store, TOP, "third-2")
    move_booking(store, number, 0, area, make_range(A_WEDNESDAY), NOON)
    assert send(store, box, NOON) == Delivery(), "the go of changes may not be over"
    assert send(store, box) == Delivery(made=1, sent=1)
    (mail,) = box.taken
    assert box.envelopes == [(SENDER, [ROBIN])]
    assert mail["To"] == f"Robin Hale <{ROBIN}>"
    assert mail["Subject"].startswith("Moved today: U12 Kestrels, 18:00")
    ((method, event),) = events_of(mail)
    assert (method, event["SEQUENCE"], event["STATUS"]) == ("REQUEST", 1, "CONFIRMED")
    assert event["ATTENDEE"] == f"mailto:{ROBIN}"
    text = mail.get_body(("plain",)).get_content()  # type: ignore[union-attr]
    assert "was: Wednesday 25 November 2026, 18:00–19:15, Clubhouse third, Top pitch" in text
    assert "is: Wednesday 25 November 2026, 18:00–19:15, Middle third, Top pitch" in text
    assert send(store, box, LATER + timedelta(days=1)) == Delivery(), "it is told once"


def test_the_mails_address_opens_page_and_feed(store: Store, box: Postbox) -> None:
    """What the mail links to works, and its feed has the same event by uid, count and stamp."""
    book(store, now=NOON)
    send(store, box)
    secret = secret_of(box.taken[0])
    feed = build_feed(store, secret, ADDRESS, LATER)
    event: Any = icalendar.Calendar.from_ical(feed.data).walk("VEVENT")[0]
    ((_, mailed),) = events_of(box.taken[0])
    for name in ("UID", "SEQUENCE", "DTSTART", "DTEND", "SUMMARY", "LOCATION", "URL"):
        assert event[name] == mailed[name], name
    assert event["DTSTAMP"].dt == mailed["DTSTAMP"].dt


def secret_of(mail: EmailMessage) -> str:
    """Return the secret part of the address a mail links to."""
    text = mail.get_body(("plain",)).get_content()  # type: ignore[union-attr]
    found = re.search(rf"{ADDRESS}/ground/(\S+)", text)
    assert found is not None
    return found[1]


def test_a_withdrawal_is_cancelled(store: Store, box: Postbox) -> None:
    """METHOD and status say so."""
    number = quiet_booking(store)
    withdraw_booking(store, number, 0, NOON)
    send(store, box)
    ((method, event),) = events_of(box.taken[0])
    assert (method, event["STATUS"], event["SEQUENCE"]) == ("CANCEL", "CANCELLED", 1)
    assert box.taken[0]["Subject"] == "Off today: U12 Kestrels, 18:00"


def test_several_changes_in_one_go_are_one_mail(store: Store, box: Postbox) -> None:
    """Two bookings, one of them moved twice: one mail with two changes, from first to last."""
    first = quiet_booking(store)
    second = quiet_booking(store, start_min=20 * 60, end_min=21 * 60)
    for count, area in enumerate(("third-2", "third-3")):
        at = NOON + timedelta(seconds=40 * count)
        move_booking(
            store, first, count, find_area_id(store, TOP, area), make_range(A_WEDNESDAY), at
        )
    withdraw_booking(store, second, 0, NOON + timedelta(seconds=90))
    assert send(store, box, LATER) == Delivery()
    assert send(store, box, LATER + timedelta(seconds=90)) == Delivery(made=1, sent=1)
    assert [(m, e["SEQUENCE"]) for m, e in events_of(box.taken[0])] == [
        ("REQUEST", 2),
        ("CANCEL", 1),
    ]
    text = box.taken[0].get_body(("plain",)).get_content()  # type: ignore[union-attr]
    assert "Clubhouse third" in text
    assert "Middle third" not in text, "it was never told of"


def test_what_was_taken_back_at_once_is_not_told(store: Store, box: Postbox) -> None:
    """Moved there and back within a go: nobody is disturbed."""
    number = quiet_booking(store)
    for count, area in enumerate(("third-2", "third-1")):
        move_booking(
            store, number, count, find_area_id(store, TOP, area), make_range(A_WEDNESDAY), NOON
        )
    assert send(store, box) == Delivery()
    assert send(store, box, LATER + timedelta(hours=1)) == Delivery()


def test_on_request_a_later_change_goes_by_mail_too(store: Store, box: Postbox) -> None:
    """Unasked the calendar alone tells of it."""
    quiet_booking(store, day=A_WEDNESDAY + timedelta(days=7))
    assert send(store, box) == Delivery()
    assert want_mail(store, KESTRELS, NOON) == 1
    assert want_mail(store, KESTRELS, NOON) == 0
    assert send(store, box) == Delivery(made=1, sent=1)


def test_what_is_over_is_not_told(store: Store, box: Postbox) -> None:
    """A mail about an evening that is past helps nobody."""
    quiet_booking(store)
    over = NOON + timedelta(days=1)
    assert want_mail(store, KESTRELS, over) == 0
    book(store, start_min=20 * 60, end_min=21 * 60, now=NOON)
    assert send(store, box, over) == Delivery()


def test_mails_wait_for_the_morning(store: Store, box: Postbox) -> None:
    """Changed at night, written at seven."""
    number = book(store, day=A_WEDNESDAY + timedelta(days=1), now=NOON - timedelta(days=7))
    night = datetime(2026, 11, 25, 23, tzinfo=UTC)
    withdraw_booking(store, number, 0, night)
    assert send(store, box, night + SETTLE) == Delivery(made=1)
    seven = datetime(2026, 11, 26, 7, tzinfo=UTC)
    assert send(store, box, seven - timedelta(seconds=1)) == Delivery()
    assert send(store, box, seven) == Delivery(sent=1)
    assert box.taken[0]["Date"].datetime == seven, "a mail is dated when it goes out"


def test_without_a_server_nothing_is_sent_and_it_is_kept(store: Store, box: Postbox) -> None:
    """It says so, and a server that is set up later does not send old news."""
    book(store, now=NOON)
    assert send(store, None) == Delivery(made=1, unsent=1)
    assert send(store, box) == Delivery()
    assert box.taken == []
    with store.read() as session:
        mail = session.scalars(select(MailRow)).one()
        assert (mail.state, mail.words) == (
            "unsent",
            "No mail server is set up, so this was not sent.",
        )


def test_mails_are_turned_off_by_the_address_in_them(store: Store, box: Postbox) -> None:
    """Off means none, on means some; and it stands in the header for mail programs."""
    number = book(store, now=NOON)
    send(store, box)
    mail = box.taken.pop()
    secret = secret_of(mail)
    assert mail["List-Unsubscribe"] == f"<{ADDRESS}/mails/{secret}>"
    assert mail["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"
    assert turn_mails(store, secret, off=True, now=NOON).is_off
    assert turn_mails(store, secret, off=True, now=NOON).is_off
    withdraw_booking(store, number, 0, LATER)
    assert send(store, box, LATER + SETTLE) == Delivery()
    assert not turn_mails(store, secret, off=False, now=NOON).is_off
    assert see_mail_choice(store, secret).address == ROBIN
    book(store, now=LATER)
    assert send(store, box, LATER + SETTLE) == Delivery(made=1, sent=1)
    for other in ("x", "x" * 300):
        with pytest.raises(MissingError, match="newest mail"):
            see_mail_choice(store, other)


def test_turned_off_while_a_mail_waits(store: Store, box: Postbox) -> None:
    """A mail that waits for the morning is not sent to somebody who wants none any more."""
    book(store, now=NOON)
    box.answer = "451 later"
    assert send(store, box) == Delivery(made=1, waiting=1)
    box.answer = ""
    with store.write() as session:
        from clubplanner.store.tables.notice_tables import MailOffRow

        session.add(MailOffRow(address=ROBIN, since=NOON))
    assert send(store, box, LATER + timedelta(minutes=5)) == Delivery(ended=1)
    assert box.taken == []


def test_a_server_that_is_busy_is_tried_again_with_pauses(store: Store, box: Postbox) -> None:
    """After 2, 4, 8 … minutes, under the same Message-ID, until it takes it."""
    book(store, now=NOON)
    box.answer = "451 later"
    now, tries = LATER, []
    while now < LATER + timedelta(minutes=40):
        if send(store, box, now).waiting:
            tries.append((now - LATER) // timedelta(minutes=1))
        now += timedelta(minutes=1)
    assert tries == [0, 2, 6, 14, 30]
    box.answer = ""
    assert send(store, box, LATER + timedelta(hours=2)).sent == 1
    with store.read() as session:
        kept = session.scalars(select(MailRow.message_id)).one()
    assert box.taken[0]["Message-ID"] == f"<{kept}@alderby.example>"
    gone_out = (LATER + timedelta(hours=2)).replace(microsecond=0)
    assert box.taken[0]["Date"].datetime == gone_out
    ((_, event),) = events_of(box.taken[0])
    assert event["DTSTAMP"].dt == NOON.replace(microsecond=0), "when the booking changed"


def test_a_mail_is_given_up_once_its_time_is_over(store: Store, box: Postbox) -> None:
    """Old news is not sent when the server comes back."""
    book(store, now=NOON)
    box.answer = "451 later"
    send(store, box)
    box.answer = ""
    assert send(store, box, NOON + timedelta(days=1)) == Delivery(ended=1)


def test_killed_between_any_two_steps_nothing_is_lost_or_doubled(
    store: Store, box: Postbox
) -> None:
    """A worker is killed at each transaction, commit and hand-over in turn; another one follows.

    Whatever happened, there is one mail for the change, it arrived, and every copy that arrived has
    the same Message-ID and the same event by uid, count and stamp, but the date of its own sending.
    """
    number = quiet_booking(store)
    area = find_area_id(store, TOP, "third-2")
    move_booking(store, number, 0, area, make_range(A_WEDNESDAY), NOON)
    store.close()
    program = [sys.executable, "-m", "tests.services.mails.deliver_process"]
    arguments = [str(place_of(store)), str(box.settings.port), LATER.isoformat()]
    done = subprocess.run([*program, *arguments], check=True, capture_output=True, timeout=300)
    lines = [json.loads(line) for line in done.stdout.splitlines()]
    assert len(lines) > 13, "every step was killed at"
    assert [line["alive"] for line in lines] == [False] * (len(lines) - 1) + [True]
    copies: dict[str, list[EmailMessage]] = {}
    for mail in box.taken:
        copies.setdefault(mail["Message-ID"].strip("<>").partition("@")[0], []).append(mail)
    for line in lines:
        assert (len(line["ids"]), line["states"], line["untold"]) == (1, ["sent"], 0), line
        versions = {
            (event["UID"], event["SEQUENCE"], event["DTSTAMP"].dt)
            for mail in copies.pop(line["ids"][0])
            for _, event in events_of(mail)
        }
        assert len(versions) == 1
    assert copies == {}
    assert len(box.taken) > len(lines), "some were killed after handing over, before noting it"


def test_two_workers_send_a_mail_once(store: Store, box: Postbox) -> None:
    """Whoever comes second finds it taken."""
    book(store, now=NOON)

    def slow(*arguments: Any) -> tuple[Fate, str]:
        assert send(store, box) == Delivery()
        return send_mail(*arguments)

    assert send(store, box, send=slow) == Delivery(made=1, sent=1)
    assert len(box.taken) == 1


def test_notes_that_only_the_calendar_told_are_put_away(store: Store, box: Postbox) -> None:
    """After two months nobody asks for a mail about them any more."""
    quiet_booking(store)
    much_later = NOON + timedelta(days=80)
    book(store, day=much_later.date(), now=much_later)
    send(store, box, much_later + SETTLE)
    with store.read() as session:
        told = session.scalars(select(NoticeRow.told_at)).all()
    assert len(told) == 2
    assert all(told)
