"""Calendars of others: free ground is taken, nobody is displaced unseen, faults cost one event."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any

import pytest

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.problems import Problem
from clubplanner.errors import MissingError, OutdatedError, RefusedError
from clubplanner.services.calendars.busy_calendars import (
    EVERY,
    BusyWish,
    add_busy_calendar,
    decide_busy,
    due_calendars,
    end_calendar,
    refresh_calendar,
)
from clubplanner.services.calendars.busy_pages import list_busy_calendars, see_busy_calendar
from clubplanner.services.calendars.fetching import Fetched, Marks, Unchanged
from clubplanner.services.places.displaced import WITHDRAW
from tests.builders import A_WEDNESDAY, NOW
from tests.small_club import LOW, TOP, book, find_area_id, kept_bookings
from tests.stores import count_rows

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

SECRET_URL = "https://council.example/cal/s3cret.ics"


def calendar(*events: str) -> bytes:
    """Return a calendar of some events, each given by its lines."""
    inner = "".join(f"BEGIN:VEVENT\r\n{event}\r\nEND:VEVENT\r\n" for event in events)
    return f"BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//x//EN\r\n{inner}END:VCALENDAR\r\n".encode()


def event(start: str, end: str, title: str = "Yoga", more: str = "") -> str:
    """Return an event in the club's own time, such as 20261125T200000."""
    lines = [f"UID:{title}-{start}@x", "DTSTAMP:20261101T000000Z"]
    lines += [f"DTSTART;TZID=Europe/London:{start}", f"DTEND;TZID=Europe/London:{end}"]
    return "\r\n".join([*lines, f"SUMMARY:{title}", *([more] if more else [])])


LATE = event("20261125T200000", "20261125T210000")
CLASH = event("20261125T183000", "20261125T193000", "Choir")


class Server:
    """Answers as told instead of a server somewhere."""

    def __init__(self, *answers: Any) -> None:
        self.answers = list(answers)
        self.asked: list[Marks] = []

    def __call__(self, url: str, marks: Marks) -> Any:
        """Give the next answer."""
        assert url == SECRET_URL
        self.asked.append(marks)
        answer = self.answers.pop(0)
        return Fetched(answer, Marks('"v1"')) if isinstance(answer, bytes) else answer


@pytest.fixture
def store(small: Store) -> Store:
    """Give the small club."""
    return small


def wish(store: Store, data: bytes | None = None, **values: Any) -> BusyWish:
    """Return a wish for the top pitch's first third."""
    area = find_area_id(store, TOP, values.pop("area", "third-1"))
    url = values.pop("url", "" if data is not None else SECRET_URL)
    return BusyWish(values.pop("name", "Town council"), area, url, data)


def test_free_times_are_booked_and_repeat(store: Store) -> None:
    """A weekly rule with an exception becomes dated hires, held on the wall clock."""
    weekly = event(
        "20261125T200000",
        "20261125T210000",
        more="RRULE:FREQ=WEEKLY;COUNT=4\r\nEXDATE;TZID=Europe/London:20261202T200000",
    )
    done = add_busy_calendar(store, wish(store, calendar(weekly)), NOW)
    assert done.sentence == "3 times booked, 0 given back."
    kept = kept_bookings(store)
    assert [b.local for b in kept] == [
        (A_WEDNESDAY + timedelta(days=d), "20:00", "21:00") for d in (0, 14, 21)
    ]
    assert {b.holder for b in kept} == {"Town council"}


def test_nobody_is_displaced_before_it_was_seen(store: Store) -> None:
    """The page says what would be blocked and who would go where; then it is done as decided."""
    number = book(store)
    done = add_busy_calendar(store, wish(store, calendar(CLASH, LATE)), NOW)
    assert (done.booked, done.waiting) == (1, 1)
    assert "1 would displace somebody" in done.sentence
    assert [b.holder for b in kept_bookings(store)].count("U12 Kestrels") == 1
    page = see_busy_calendar(store, done.number, NOW)
    (displaced,) = page.displaced
    assert (displaced.number, displaced.holder) == (number, "U12 Kestrels")
    assert "Choir" in page.times[0]
    assert displaced.choices
    with pytest.raises(OutdatedError, match="look again"):
        decide_busy(store, done.number, {}, NOW)
    decided = decide_busy(store, done.number, {number: displaced.choices[0].value}, NOW)
    assert decided.booked == 1
    moved = next(b for b in kept_bookings(store) if b.holder == "U12 Kestrels")
    assert (moved.sequence, moved.area != "third-1") == (1, True)
    assert see_busy_calendar(store, done.number, NOW).times == ()


def test_a_displaced_session_may_be_withdrawn(store: Store) -> None:
    """If that is what the person chose."""
    number = book(store)
    done = add_busy_calendar(store, wish(store, calendar(CLASH)), NOW)
    decide_busy(store, done.number, {number: WITHDRAW}, NOW)
    assert [b.holder for b in kept_bookings(store)] == ["Town council"]


def test_what_is_not_ours_to_move_is_told(store: Store) -> None:
    """Closed ground and other hires stand; the rest is booked."""
    book(store, "Waterlogged", purpose=Purpose.CLOSED)
    done = add_busy_calendar(store, wish(store, calendar(CLASH, LATE)), NOW)
    page = see_busy_calendar(store, done.number, NOW)
    assert (page.times, page.displaced) == ((), ())
    assert "held by Waterlogged 18:00–19:15" in page.held[0]
    assert decide_busy(store, done.number, {}, NOW).booked == 0


def test_it_is_read_again_and_follows(store: Store) -> None:
    """A moved event moves, a cancelled one is given back; unchanged costs nothing."""
    moved = event("20261125T203000", "20261125T213000")
    server = Server(calendar(LATE), Unchanged(), calendar(moved), calendar())
    done = add_busy_calendar(store, wish(store), NOW, server)
    results = [refresh_calendar(store, done.number, NOW, server) for _ in range(3)]
    assert [(r.booked, r.given_back) for r in results] == [(0, 0), (1, 1), (0, 1)]
    assert server.asked == [Marks(), Marks('"v1"'), Marks('"v1"'), Marks('"v1"')]
    assert kept_bookings(store) == []


def test_a_server_that_fails_takes_nothing_away(store: Store) -> None:
    """What was read last counts; the fault is told, and gone after the next good reading."""
    fault = Problem("calendar address", "no-answer", "The computer does not answer.")
    server = Server(calendar(LATE), fault, calendar(LATE))
    done = add_busy_calendar(store, wish(store), NOW, server)
    failed = refresh_calendar(store, done.number, NOW, server)
    assert (failed.given_back, failed.problems) == (
        0,
        ("calendar address: The computer does not answer.",),
    )
    assert len(kept_bookings(store)) == 1
    assert see_busy_calendar(store, done.number, NOW).problems == failed.problems
    assert refresh_calendar(store, done.number, NOW, server).problems == ()


def test_a_fault_costs_its_own_event(store: Store) -> None:
    """The others are booked; the page names the one."""
    broken = "UID:b@x\r\nDTSTART:yesterday\r\nSUMMARY:Broken"
    done = add_busy_calendar(store, wish(store, calendar(broken, LATE)), NOW)
    assert done.booked == 1
    assert "Broken" in done.problems[0]
    again = refresh_calendar(store, done.number, NOW)
    assert again.problems == done.problems, "told once, not once more each time"


def test_it_is_due_every_hour(store: Store) -> None:
    """The longest unread first; files are never due."""
    server = Server(calendar(LATE), calendar(LATE))
    first = add_busy_calendar(store, wish(store), NOW, server).number
    second = add_busy_calendar(
        store, wish(store, area="third-2"), NOW + timedelta(minutes=10), server
    ).number
    add_busy_calendar(store, wish(store, calendar(LATE), area="third-3"), NOW)
    assert due_calendars(store, NOW + EVERY - timedelta(seconds=1)) == []
    assert due_calendars(store, NOW + EVERY) == [first]
    assert due_calendars(store, NOW + 2 * EVERY) == [first, second]


def test_ending_gives_the_ground_back(store: Store) -> None:
    """What is over stays in the books; the address is forgotten."""
    past = event("20261116T090000", "20261116T113000")
    done = add_busy_calendar(store, wish(store, calendar(past, LATE)), NOW - timedelta(hours=12))
    assert done.booked == 2
    assert end_calendar(store, done.number, NOW) == 1
    assert len(kept_bookings(store)) == 1
    assert list_busy_calendars(store, NOW) == ()
    for use in (end_calendar, refresh_calendar, see_busy_calendar):
        with pytest.raises(MissingError, match="no such calendar"):
            use(store, done.number, NOW)


def test_what_cannot_be_taken_in_is_told(store: Store) -> None:
    """And leaves nothing behind; the address is in no message and no list."""
    fault = Problem("calendar address", "no-answer", "The computer does not answer.")
    before = count_rows(store)
    for values, answers, words in (
        ({"name": " "}, (), "whose calendar"),
        ({"url": ""}, (), "one of the two"),
        ({"url": SECRET_URL, "data": calendar(LATE)}, (), "one of the two"),
        ({"data": b"x" * 5_000_001}, (), "larger than 5 MB"),
        ({"data": b"<html>"}, (), "This is no calendar"),
        ({}, (b"<html>",), "This is no calendar"),
        ({}, (fault,), "does not answer"),
    ):
        with pytest.raises(RefusedError, match=words) as caught:
            add_busy_calendar(store, wish(store, **values), NOW, Server(*answers))
        assert "s3cret" not in str(caught.value)
    assert list_busy_calendars(store, NOW) == ()
    assert count_rows(store) == before
    add_busy_calendar(store, wish(store), NOW, Server(calendar(LATE)))
    (line,) = list_busy_calendars(store, NOW)
    assert (line.source, "s3cret" in repr(line)) == ("council.example", False)
    assert "s3cret" not in repr(wish(store))


def test_internal_addresses_are_not_read(store: Store) -> None:
    """With the real way of fetching, as everywhere (see the tests of fetching)."""
    inside = BusyWish("Cunning", find_area_id(store, LOW, "whole"), "http://127.0.0.1:1/x.ics")
    with pytest.raises(RefusedError, match="inside a network"):
        add_busy_calendar(store, inside, datetime.now(UTC))


def test_busy_times_without_events_are_booked(store: Store) -> None:
    """A list of busy times holds the ground like events do."""
    listed = "BEGIN:VFREEBUSY\r\nUID:l@x\r\nFREEBUSY:20261125T200000Z/PT1H\r\nEND:VFREEBUSY\r\n"
    done = add_busy_calendar(
        store, wish(store, calendar().replace(b"END:VC", f"{listed}END:VC".encode())), NOW
    )
    assert (done.booked, done.problems) == (1, ())


def test_a_calendar_that_holds_nothing_says_so(store: Store) -> None:
    """It may be new and still be empty: it is taken in, and the page tells."""
    done = add_busy_calendar(store, wish(store, calendar()), NOW)
    assert done.booked == 0
    (problem,) = see_busy_calendar(store, done.number, NOW).problems
    assert "It holds no events and no busy times." in problem
