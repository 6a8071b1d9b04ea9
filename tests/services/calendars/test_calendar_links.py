"""Addresses of squads, coaches and pitches: one a person, each with its own calendar."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING, Any

import icalendar
import pytest

from clubplanner.domain.club.told.notices import SETTLE
from clubplanner.errors import MissingError, RefusedError
from clubplanner.outputs.calendars.feed import write_feed
from clubplanner.services.calendars.calendar_links import (
    LinkKind,
    LinkWish,
    create_link,
    link_choices,
    list_links,
    reminder_in_words,
    withdraw_link,
)
from clubplanner.services.calendars.calendar_page import see_calendar
from clubplanner.services.calendars.feeds import build_feed, draw_area_map
from clubplanner.services.evening.bookings import move_booking, withdraw_booking
from tests.builders import A_WEDNESDAY, NOW, make_range
from tests.mail_server import mail_server
from tests.services.mails.sending.test_delivering import (
    ADDRESS,
    LATER,
    NOON,
    ROBIN,
    SAM,
    WITH_ADDRESSES,
    events_of,
    send,
)
from tests.small_club import HARRIERS, KESTRELS, LOW, TOP, book, find_area_id, load_small_club
from tests.stores import ALL_THE_SAME

if TYPE_CHECKING:
    from clubplanner.store.engine import Store


@pytest.fixture
def store(empty_store: Store) -> Store:
    """Give the small club; Robin coaches both squads."""
    return load_small_club(
        empty_store, squads=WITH_ADDRESSES.replace(f"Sam Reed,{SAM}", "Robin Hale,")
    )


def make(store: Store, kind: str, subject: str, **values: Any) -> str:
    """Make an address and return its secret part."""
    wish = LinkWish(LinkKind(kind), subject, values.pop("holder", "Kim Vale"), **values)
    return create_link(store, wish, NOW).path.rpartition("/")[2]


def events(store: Store, secret: str) -> list[Any]:
    """Return the events of a feed, by start."""
    data = build_feed(store, secret, ADDRESS, NOW).data
    found = icalendar.Calendar.from_ical(data).walk("VEVENT")
    return sorted(found, key=lambda event: event["DTSTART"].dt)


def test_a_coachs_calendar_has_all_their_squads(store: Store) -> None:
    """Every session of both squads, and nobody else's."""
    book(store)
    book(store, HARRIERS, day=A_WEDNESDAY + timedelta(days=1))
    book(store, "Hill Runners", day=A_WEDNESDAY + timedelta(days=2))
    found = events(store, make(store, "coach", "robin  HALE"))
    assert [str(e["SUMMARY"]).partition(":")[0] for e in found] == ["U12 Kestrels", "U14 Harriers"]


def test_a_pitchs_calendar_has_everything_on_it(store: Store) -> None:
    """Training, hires and closures, for whoever looks after the ground."""
    book(store)
    book(store, "Hill Runners", day=A_WEDNESDAY + timedelta(days=2))
    book(store, HARRIERS, "whole", pitch_key=LOW)
    found = events(store, make(store, "pitch", "Top pitch"))
    assert [str(e["SUMMARY"]).partition(":")[0] for e in found] == ["U12 Kestrels", "Hill Runners"]


def test_what_moves_to_another_pitch_is_withdrawn_from_the_first(store: Store) -> None:
    """It stays there, marked, under a uid of its own, and is new on the other; and back again."""
    number = book(store)
    top, low = make(store, "pitch", TOP), make(store, "pitch", LOW)
    (before,) = events(store, top)
    whole, third = find_area_id(store, LOW, "whole"), find_area_id(store, TOP, "third-1")
    move_booking(store, number, 0, whole, make_range(A_WEDNESDAY), NOW, ALL_THE_SAME)
    ((left,), (came,)) = (events(store, secret) for secret in (top, low))
    assert (left["UID"], left["STATUS"], left["SEQUENCE"]) == (before["UID"], "CANCELLED", 1)
    assert str(left["SUMMARY"]).startswith("Off: U12 Kestrels, training")
    assert (came["STATUS"], came["UID"] != left["UID"]) == ("CONFIRMED", True)
    move_booking(store, number, 1, third, make_range(A_WEDNESDAY), NOW)
    ((back,), (gone,)) = (events(store, secret) for secret in (top, low))
    assert (back["UID"], back["STATUS"], back["SEQUENCE"]) == (before["UID"], "CONFIRMED", 2)
    assert gone["STATUS"] == "CANCELLED"
    withdraw_booking(store, number, 2, NOW)
    assert [e["STATUS"] for e in events(store, top)] == ["CANCELLED"]


def test_maps_are_for_the_subject_alone(store: Store) -> None:
    """A pitch's address draws what is on it, a coach's what is theirs, and nothing else."""
    number, hire = book(store), book(store, "Hill Runners", "third-2")
    coach, low = make(store, "coach", "Robin Hale"), make(store, "pitch", LOW)
    assert draw_area_map(store, coach, number).startswith(b"\x89PNG")
    assert draw_area_map(store, make(store, "pitch", TOP), hire).startswith(b"\x89PNG")
    for secret, other in ((coach, hire), (low, number), (low, 999)):
        with pytest.raises(MissingError, match="no such booking"):
            draw_area_map(store, secret, other)


def test_one_persons_address_is_withdrawn_alone(store: Store) -> None:
    """The others go on working; the list shows who has one and never the address."""
    kim, lee = (make(store, "squad", KESTRELS, holder=name) for name in ("Kim", "Lee"))
    lines = list_links(store)
    assert [(line.subject, line.holder) for line in lines] == [
        ("U12 Kestrels", "Kim"),
        ("U12 Kestrels", "Lee"),
    ]
    assert kim not in repr(lines)
    assert withdraw_link(store, lines[0].number, NOW) == "Kim"
    with pytest.raises(MissingError, match="no longer"):
        build_feed(store, kim, ADDRESS, NOW)
    assert build_feed(store, lee, ADDRESS, NOW).name == "u12-kestrels.ics"
    with pytest.raises(MissingError, match="already"):
        withdraw_link(store, lines[0].number, NOW)
    with pytest.raises(MissingError, match="There is no address 999"):
        withdraw_link(store, 999, NOW)  # a slip of the hand leaves the right one open


def test_a_reminder_belongs_to_the_address(store: Store) -> None:
    """One person is reminded, the other is not."""
    book(store)
    asked = build_feed(store, make(store, "squad", KESTRELS, reminder_minutes=60), ADDRESS, NOW)
    other = build_feed(store, make(store, "squad", KESTRELS), ADDRESS, NOW)
    assert b"TRIGGER:-PT60M" in write_feed(asked.feed)
    assert b"VALARM" not in other.data
    assert "reminds 1 hour before" in list_links(store)[0].notes


@pytest.mark.parametrize(
    ("minutes", "words"),
    [(30, "30 minutes"), (60, "1 hour"), (120, "2 hours"), (1440, "1 day"), (90, "90 minutes")],
)
def test_reminders_in_words(minutes: int, words: str) -> None:
    """The largest whole unit."""
    assert reminder_in_words(minutes) == f"{words} before"


def test_who_asked_gets_mails_once(store: Store) -> None:
    """With the coach; an address noted twice once; a withdrawn one hears that it is over."""
    make(store, "squad", KESTRELS, email="kim@alderby.example")
    make(store, "coach", "Robin Hale", email="KIM@alderby.example")
    make(store, "coach", "Robin Hale", email="lee@alderby.example", holder="Lee")
    book(store, now=NOON)
    with mail_server() as box:
        assert send(store, box).sent == 3
    got = sorted(to for _, (to,) in box.envelopes)
    assert got == ["kim@alderby.example", "lee@alderby.example", ROBIN]
    for line in list_links(store):
        if line.holder == "Lee":
            withdraw_link(store, line.number, NOW)
    book(store, area_key="third-2", now=LATER)
    with mail_server() as box:
        assert send(store, box, LATER + SETTLE).sent == 3
    told = {str(mail["To"]).rpartition("<")[2].strip(">"): events_of(mail) for mail in box.taken}
    methods = {to: [method for method, _ in events] for to, events in told.items()}
    assert methods.pop("lee@alderby.example") == ["CANCEL"]
    assert methods == {"kim@alderby.example": ["REQUEST"], ROBIN: ["REQUEST"]}


def test_addresses_in_mails_are_withdrawn_by_person(store: Store) -> None:
    """They are one line of the list, however many mails there were."""
    with mail_server() as box:
        for count, area in enumerate(("third-1", "third-2")):
            now = NOON + timedelta(minutes=5 * count)
            book(store, area_key=area, now=now)
            send(store, box, now + SETTLE)
    (line,) = list_links(store)
    assert (line.holder, "in 2 mails" in line.notes) == ("Robin Hale", True)
    withdraw_link(store, line.number, NOW)
    assert list_links(store) == ()


def test_what_cannot_be_made_is_told(store: Store) -> None:
    """With what there is, or what to enter."""
    for kind, subject, words in (
        ("squad", "U99", "the squads are: u12-kestrels"),
        ("coach", "Nobody", "the coaches are: Robin Hale"),
        ("pitch", "Moon", f"the pitches are: {TOP}"),
    ):
        with pytest.raises(MissingError, match=words):
            make(store, kind, subject)
    for values, words in (
        ({"holder": " "}, "for whom"),
        ({"holder": "x" * 81}, "at most 80"),
        ({"email": "nobody"}, "mail address such as"),
        ({"reminder_minutes": 99_999}, "at most a week"),
    ):
        with pytest.raises(RefusedError, match=words):
            make(store, "squad", KESTRELS, **values)
    with pytest.raises(RefusedError, match="a pitch has its calendar only"):
        make(store, "pitch", TOP, email="kim@alderby.example")


def test_choices_and_page(store: Store) -> None:
    """The form offers what there is; the page lists days, and leaves squads to their own."""
    book(store)
    number = book(store, HARRIERS, "third-2")
    withdraw_booking(store, number, 0, NOW, why="Frost")
    choices = link_choices(store)
    assert [words for _number, words in choices.coaches] == ["Robin Hale"]
    make(store, "coach", choices.coaches[0][0], holder="Lee")
    assert list_links(store)[0].subject == "Robin Hale"
    assert (TOP, "Top pitch, Marsh Lane") in choices.pitches
    page = see_calendar(store, make(store, "pitch", TOP), ADDRESS, NOW)
    assert page.webcal.startswith("webcal://pitches.example/calendar/")
    on, off = page.days[0].entries
    assert (on.holder, on.state) == ("U12 Kestrels", None)
    assert off.state is not None
    assert (off.holder, off.state.label, off.state.short) == ("U14 Harriers", "Off", "Frost")
    with pytest.raises(MissingError, match="squad's"):
        see_calendar(store, make(store, "squad", KESTRELS), ADDRESS, NOW)
