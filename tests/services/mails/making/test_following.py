"""What was once mailed is followed by mail until it is right again, for whoever was told."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Any

import pytest
from sqlalchemy import select

from clubplanner.domain.club.persons.coaches import Coach
from clubplanner.services.calendars.calendar_links import (
    LinkKind,
    LinkWish,
    create_link,
    withdraw_link,
)
from clubplanner.services.evening.bookings import move_booking, withdraw_booking
from clubplanner.services.mails.sending.delivering import Delivery
from clubplanner.services.rows.people.coaching import set_coaches
from clubplanner.services.setup.squads.coach_book import CoachBook
from clubplanner.store.tables.link_tables import LinkRow
from clubplanner.store.tables.squad_tables import SquadRow
from tests.builders import A_WEDNESDAY, make_range
from tests.services.mails.sending.test_delivering import (
    LATER,
    NOON,
    ROBIN,
    SAM,
    WITH_ADDRESSES,
    events_of,
    secret_of,
    send,
)
from tests.small_club import KESTRELS, TOP, book, find_area_id, load_small_club

if TYPE_CHECKING:
    from clubplanner.store.engine import Store
    from tests.mail_server import Postbox

NEXT_WEEK = A_WEDNESDAY + timedelta(days=7)
DAD = "dad@alderby.example"


@pytest.fixture
def store(empty_store: Store) -> Store:
    """Give the small club, its coaches with mail addresses, nothing to tell."""
    return load_small_club(empty_store, squads=WITH_ADDRESSES)


def told(box: Postbox) -> list[tuple[str, str, int, str]]:
    """Take what arrived out of the box: to whom, method, count and local start."""
    found = []
    for (_, recipients), mail in zip(box.envelopes, box.taken, strict=True):
        for method, event in events_of(mail):
            start = event["DTSTART"].dt.isoformat()[5:16]
            found.append((recipients[0], method, int(event["SEQUENCE"]), start))
    box.taken.clear()
    box.envelopes.clear()
    return found


def hand_over(store: Store, squad: str, coach: str, email: str, now: datetime = LATER) -> None:
    """Give a squad another coach; somebody of that address is the same person."""
    with store.write() as session:
        row = session.scalars(select(SquadRow).where(SquadRow.key == squad)).one()
        book_of = CoachBook(session, [Coach(coach, email)], now)
        person = book_of.find(Coach(coach, email), row.id)
        session.flush()
        set_coaches(session, row, [person], now)


def move(store: Store, number: int, count: int, area: str, day: Any, now: datetime) -> None:
    """Move a booking on the top pitch."""
    move_booking(store, number, count, find_area_id(store, TOP, area), make_range(day), now)


def test_what_was_mailed_is_followed_to_a_later_week_and_to_its_end(
    store: Store, box: Postbox
) -> None:
    """Mailed for tonight, moved to next week, withdrawn there: each time by a higher count."""
    number = book(store, now=NOON)
    send(store, box)
    assert told(box) == [(ROBIN, "REQUEST", 0, "11-25T18:00")]
    move(store, number, 0, "third-2", NEXT_WEEK, LATER)
    assert send(store, box, LATER + timedelta(minutes=2)) == Delivery(made=1, sent=1)
    assert told(box) == [(ROBIN, "REQUEST", 1, "12-02T18:00")]
    move(store, number, 1, "third-3", NEXT_WEEK, LATER + timedelta(hours=1))
    send(store, box, LATER + timedelta(hours=2))
    assert told(box) == [(ROBIN, "REQUEST", 2, "12-02T18:00")]
    withdraw_booking(store, number, 2, LATER + timedelta(hours=3))
    send(store, box, LATER + timedelta(hours=4))
    assert told(box) == [(ROBIN, "CANCEL", 3, "12-02T18:00")]
    assert send(store, box, LATER + timedelta(days=1)) == Delivery()


def test_words_begin_with_what_the_person_was_last_mailed(store: Store, box: Postbox) -> None:
    """What was, in a mail, is what the mail before said, not what the journal's last step was."""
    number = book(store, now=NOON)
    send(store, box)
    told(box)
    move(store, number, 0, "third-2", NEXT_WEEK, LATER)
    move(store, number, 1, "third-3", NEXT_WEEK, LATER + timedelta(seconds=5))
    send(store, box, LATER + timedelta(minutes=3))
    text = box.taken[0].get_body(("plain",)).get_content()  # type: ignore[union-attr]
    assert "was: Wednesday 25 November 2026, 18:00–19:15, Clubhouse third" in text
    assert "is: Wednesday 2 December 2026, 18:00–19:15" in text
    assert "Middle third" not in text


def test_what_came_back_to_what_was_mailed_is_no_mail(store: Store, box: Postbox) -> None:
    """Moved away and back before anybody was told: nothing to put right."""
    number = book(store, now=NOON)
    send(store, box)
    told(box)
    move(store, number, 0, "third-2", NEXT_WEEK, LATER)
    move(store, number, 1, "third-1", A_WEDNESDAY, LATER + timedelta(seconds=9))
    assert send(store, box, LATER + timedelta(minutes=5)) == Delivery()


def test_a_mail_that_still_waits_is_followed_too(store: Store, box: Postbox) -> None:
    """The server is busy while the session moves to next week: what stands arrives, once."""
    number = book(store, now=NOON)
    box.answer = "451 later"
    send(store, box)
    move(store, number, 0, "third-2", NEXT_WEEK, LATER)
    send(store, box, LATER + timedelta(minutes=3))
    box.answer = ""
    send(store, box, LATER + timedelta(minutes=30))
    assert told(box) == [(ROBIN, "REQUEST", 1, "12-02T18:00")]
    assert send(store, box, LATER + timedelta(hours=2)) == Delivery(), "the older one lapsed"


def test_who_was_never_mailed_is_not_disturbed_by_what_is_far_ahead(
    store: Store, box: Postbox
) -> None:
    """An address made after the mail hears of next week by its calendar alone."""
    number = book(store, now=NOON)
    send(store, box)
    move(store, number, 0, "third-2", NEXT_WEEK, LATER)
    send(store, box, LATER + timedelta(minutes=3))
    told(box)
    create_link(store, LinkWish(LinkKind.SQUAD, KESTRELS, "Dad", DAD), LATER)
    move(store, number, 1, "third-3", NEXT_WEEK, LATER + timedelta(minutes=5))
    send(store, box, LATER + timedelta(minutes=8))
    assert told(box) == [(ROBIN, "REQUEST", 2, "12-02T18:00")]


def test_brought_back_it_is_asked_for_again(store: Store, box: Postbox) -> None:
    """A cancelled session that stands again, however far ahead, is a request of a higher count."""
    number = book(store, now=NOON)
    send(store, box)
    move(store, number, 0, "third-1", NEXT_WEEK, LATER)
    withdraw_booking(store, number, 1, LATER)
    send(store, box, LATER + timedelta(minutes=3))
    assert told(box)[-1] == (ROBIN, "CANCEL", 2, "12-02T18:00")
    with store.write() as session:
        from clubplanner.services.rows.bookings.booking_rows import note_change
        from clubplanner.store.tables.booking_tables import BookingRow

        row = session.get_one(BookingRow, number)
        row.is_withdrawn = False
        note_change(row, LATER + timedelta(hours=1))
    send(store, box, LATER + timedelta(hours=2))
    assert told(box) == [(ROBIN, "REQUEST", 3, "12-02T18:00")]


def test_a_withdrawn_address_gets_a_cancellation_and_no_way_in(store: Store, box: Postbox) -> None:
    """Whoever is no longer told gets their entry taken out, by a mail that opens no page."""
    create_link(store, LinkWish(LinkKind.SQUAD, KESTRELS, "Dad", DAD), NOON)
    book(store, now=NOON)
    send(store, box)
    assert {line[0] for line in told(box)} == {ROBIN, DAD}
    with store.read() as session:
        link = session.scalars(select(LinkRow.id).where(LinkRow.email == DAD)).one()
    withdraw_link(store, link, LATER)
    assert send(store, box, LATER + timedelta(minutes=3)) == Delivery(made=1, sent=1)
    (mail,) = box.taken
    text = mail.get_body(("plain",)).get_content()  # type: ignore[union-attr]
    assert "is off" not in mail["Subject"], "the session itself goes on"
    assert "/ground/" not in text
    assert told(box) == [(DAD, "CANCEL", 1, "11-25T18:00")]
    assert send(store, box, LATER + timedelta(minutes=9)) == Delivery(), "it is made once"


def test_a_squad_handed_over_leaves_one_calendar_and_enters_the_other(
    store: Store, box: Postbox
) -> None:
    """The old coach gets a cancellation, the new one what the old one had been mailed."""
    number = book(store, now=NOON)
    send(store, box)
    told(box)
    hand_over(store, KESTRELS, "Sam Reed", SAM)
    send(store, box, LATER + timedelta(minutes=3))
    assert sorted(told(box)) == [
        (ROBIN, "CANCEL", 1, "11-25T18:00"),
        (SAM, "REQUEST", 1, "11-25T18:00"),
    ]
    hand_over(store, KESTRELS, "Robin Hale", ROBIN, LATER + timedelta(minutes=3))
    send(store, box, LATER + timedelta(minutes=6))
    assert sorted(told(box)) == [
        (ROBIN, "REQUEST", 2, "11-25T18:00"),
        (SAM, "CANCEL", 2, "11-25T18:00"),
    ]
    withdraw_booking(store, number, 2, LATER + timedelta(minutes=7))
    send(store, box, LATER + timedelta(minutes=10))
    assert told(box) == [(ROBIN, "CANCEL", 3, "11-25T18:00")]


def test_whoever_turned_mails_off_is_left_alone(store: Store, box: Postbox) -> None:
    """No cancellation either: they asked for none."""
    from clubplanner.services.mails.sending.turning_off import turn_mails

    number = book(store, now=NOON)
    send(store, box)
    turn_mails(store, secret_of(box.taken[0]), off=True, now=LATER)
    move(store, number, 0, "third-2", NEXT_WEEK, LATER)
    assert send(store, box, LATER + timedelta(minutes=5)) == Delivery()


def test_a_cancellation_that_nobody_takes_is_tried_once(store: Store, box: Postbox) -> None:
    """The server knows nobody of the old address: no mail after mail."""
    book(store, now=NOON)
    send(store, box)
    told(box)
    hand_over(store, KESTRELS, "Robin Hale", "robin.hale@alderby.example")
    box.answers["RCPT"] = "550 5.1.1 nobody"
    assert send(store, box, LATER + timedelta(minutes=3)) == Delivery(made=2, ended=2)
    assert send(store, box, LATER + timedelta(minutes=6)) == Delivery()


def test_one_person_with_two_squads_gets_one_mail(store: Store, box: Postbox) -> None:
    """Two squads of one coach in one go of changes: one mail that names both."""
    with store.read() as session:
        squads = session.scalars(select(SquadRow).order_by(SquadRow.position)).all()[:2]
        names = [squad.name for squad in squads]
        keys = [squad.key for squad in squads]
    for key in keys:
        hand_over(store, key, "Robin Hale", ROBIN, NOON)
    create_link(store, LinkWish(LinkKind.COACH, "Robin Hale", "Robin", ROBIN.upper()), NOON)
    for area, key in zip(("third-1", "third-2"), keys, strict=True):
        book(store, key, area, now=NOON)
    assert send(store, box) == Delivery(made=1, sent=1)
    (mail,) = box.taken
    assert [method for method, _ in events_of(mail)] == ["REQUEST", "REQUEST"]
    text = mail.get_body(("plain",)).get_content()  # type: ignore[union-attr]
    for name in names:
        assert f"{name}: http" in text, "each squad's page"
