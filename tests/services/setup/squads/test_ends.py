"""A squad ends from a date on: what goes, what stays, who is told, and taking it back."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.booked.waiting import AskState
from clubplanner.domain.club.people import Person, Role
from clubplanner.domain.club.told.notices import QuietHours
from clubplanner.errors import MissingError, OutdatedError, RefusedError
from clubplanner.services.addresses.links import create_squad_link
from clubplanner.services.calendars.calendar_links import LinkKind, LinkWish, create_link
from clubplanner.services.calendars.feeds import build_feed
from clubplanner.services.coach.ground_page import see_ground
from clubplanner.services.giving.requests import SessionAsk, ask_for_session
from clubplanner.services.giving.swap_pages import list_swaps
from clubplanner.services.giving.swaps import accept_swap, offer_swap
from clubplanner.services.giving.waiting_list import list_asks
from clubplanner.services.journal.changes import list_changes, undo_change
from clubplanner.services.mails.making.gathering import gather_mails
from clubplanner.services.places.ruling import Overruling
from clubplanner.services.problem.stretch_problem import load_stretch_problem
from clubplanner.services.rows.snapshot import load_stretches
from clubplanner.services.setup.squads.ends import end_squad_from
from clubplanner.services.setup.squads.ends_page import see_squad_end
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.notice_tables import NoticeRow
from clubplanner.store.tables.season_tables import FixtureRow
from tests.builders import A_WEDNESDAY, LONDON, NOW
from tests.small_club import HALL, HARRIERS, KESTRELS, LOW, TOP, book, find_squad_id, kept_bookings

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

WEEK = timedelta(days=7)
ALWAYS = QuietHours(time(0), time(0))


@pytest.fixture
def three_weeks(small: Store) -> Store:
    """Give the Kestrels and the Harriers on three Wednesdays each."""
    for n in range(3):
        book(small, day=A_WEDNESDAY + n * WEEK)
        book(small, HARRIERS, "third-3", day=A_WEDNESDAY + n * WEEK)
    return small


def add_match(store: Store, day: date, squad_key: str = KESTRELS) -> int:
    """Put a match with ground in the books; return the fixture's number."""
    number = book(store, squad_key, "whole", day=day, start_min=600, purpose=Purpose.MATCH)
    with store.write() as session:
        row = FixtureRow(
            squad_id=find_squad_id(store, squad_key),
            day=day,
            kick_off_from=630,
            kick_off_to=630,
            opponent="Holt",
            format_code="9v9",
            minutes=60,
            warm_up_minutes=30,
            after_minutes=15,
            pitch_name="",
            officials="",
            opponents="",
            note="",
            booking_id=number,
            withdrawn_at=None,
        )
        session.add(row)
        session.flush()
        return row.id


def days_of(store: Store, holder: str) -> list[date]:
    """Return the local dates on which a squad has something."""
    return [kept.local[0] for kept in kept_bookings(store) if kept.holder == holder]


def test_what_is_to_come_goes_and_what_was_stays(three_weeks: Store) -> None:
    """From the second Wednesday on nothing is left of one squad, all of the other."""
    words = end_squad_from(three_weeks, KESTRELS, A_WEDNESDAY + WEEK, NOW, why="too few")
    assert words == "U12 Kestrels end, with no session from Wed 2 Dec on, 2 sessions withdrawn."
    assert days_of(three_weeks, "U12 Kestrels") == [A_WEDNESDAY]
    assert len(days_of(three_weeks, "U14 Harriers")) == 3
    with three_weeks.read() as session:
        assert [row.is_wanted for row in session.scalars(select(NoticeRow))][-2:] == [True, True]


def test_matches_go_along_unless_they_are_to_stay(three_weeks: Store) -> None:
    """Called off with their ground; kept, they stay as they are."""
    saturday = A_WEDNESDAY + timedelta(days=3)
    number = add_match(three_weeks, saturday)
    words = end_squad_from(three_weeks, KESTRELS, A_WEDNESDAY, NOW, keeps_matches=True)
    assert words.endswith("from Wed 25 Nov on, 3 sessions withdrawn, one match stays.")
    assert days_of(three_weeks, "U12 Kestrels") == [saturday]
    undo_change(three_weeks, list_changes(three_weeks, NOW)[0].number, NOW)
    words = end_squad_from(three_weeks, KESTRELS, A_WEDNESDAY, NOW)
    assert words.endswith("from Wed 25 Nov on, 3 sessions withdrawn, one match called off.")
    assert days_of(three_weeks, "U12 Kestrels") == []
    undo_change(three_weeks, list_changes(three_weeks, NOW)[0].number, NOW)
    assert len(days_of(three_weeks, "U12 Kestrels")) == 4
    with three_weeks.read() as session:
        row = session.get_one(FixtureRow, number)
        assert (row.withdrawn_at, row.booking is not None) == (None, True)


def test_a_squad_that_ends_today_keeps_what_has_begun(three_weeks: Store) -> None:
    """At 18:30 on its day the session that runs is over in its own time; the rest goes."""
    now = datetime(2026, 11, 25, 18, 30, tzinfo=UTC)
    end_squad_from(three_weeks, KESTRELS, A_WEDNESDAY, now)
    assert days_of(three_weeks, "U12 Kestrels") == [A_WEDNESDAY]


def test_it_ends_on_the_night_the_clocks_go_forward(small: Store) -> None:
    """The Saturday evening before 28 March stays, the Sunday after it goes, by the local date."""
    sunday = date(2027, 3, 28)
    book(small, day=sunday - timedelta(days=1), start_min=22 * 60, end_min=24 * 60)
    book(small, day=sunday, start_min=0, end_min=90)
    end_squad_from(small, KESTRELS, sunday, NOW)
    assert days_of(small, "U12 Kestrels") == [sunday - timedelta(days=1)]


@pytest.mark.parametrize(
    ("day", "other", "words"),
    [
        (NOW.astimezone(LONDON).date() - timedelta(days=1), "", "has passed"),
        (A_WEDNESDAY, KESTRELS, "another squad"),
    ],
)
def test_what_cannot_be_is_refused(small: Store, day: date, other: str, words: str) -> None:
    """A date that has passed, and a squad that would go on in itself."""
    with pytest.raises(RefusedError, match=words):
        end_squad_from(small, KESTRELS, day, NOW, goes_on_in=other)


def test_the_second_of_two_secretaries_is_told(small: Store) -> None:
    """A squad without sessions can end, once."""
    assert "0 sessions" in end_squad_from(small, KESTRELS, A_WEDNESDAY, NOW)
    with pytest.raises(RefusedError, match="end already, with no session from Wed 25 Nov on"):
        end_squad_from(small, KESTRELS, A_WEDNESDAY + WEEK, NOW)


def test_it_is_not_taken_back_over_somebody_elses_head(three_weeks: Store) -> None:
    """Where others have the ground by now, they are named and nothing changes."""
    end_squad_from(three_weeks, KESTRELS, A_WEDNESDAY, NOW)
    number = list_changes(three_weeks, NOW)[0].number
    book(three_weeks, HARRIERS, day=A_WEDNESDAY + WEEK)
    with pytest.raises(RefusedError, match="U14 Harriers"):
        undo_change(three_weeks, number, NOW)
    assert days_of(three_weeks, "U12 Kestrels") == []


def feed_of(store: Store, secret: str) -> str:
    """Return a feed's text with its lines unfolded."""
    data = build_feed(store, secret, "https://pitches.example.org", NOW).data.decode()
    return data.replace("\r\n ", "")


def test_its_address_says_what_happened_and_takes_sessions_out(three_weeks: Store) -> None:
    """The calendar is described, what was to come is off with the reason, the page says so."""
    secret = create_squad_link(three_weeks, KESTRELS, "Parents", NOW)
    before = build_feed(three_weeks, secret, "https://pitches.example.org", NOW).digest
    end_squad_from(three_weeks, KESTRELS, A_WEDNESDAY + WEEK, NOW, why="too few")
    words = "U12 Kestrels end, with no session from Wednesday 2 December 2026 on: too few"
    text = feed_of(three_weeks, secret)
    assert f"\r\nDESCRIPTION:{words.replace(',', chr(92) + ',')}\r\n" in text
    assert text.count("STATUS:CANCELLED") == 2
    assert text.count("STATUS:CONFIRMED") == 1
    assert text.count(words.replace(",", "\\,")) == 2 + 2
    assert build_feed(three_weeks, secret, "https://pitches.example.org", NOW).digest != before
    assert see_ground(three_weeks, secret, None, NOW).ending == words


def test_who_goes_on_in_another_squad_sees_its_sessions(three_weeks: Store) -> None:
    """From that date on the old address shows the other squad's, before it none of them."""
    secret = create_squad_link(three_weeks, KESTRELS, "Parents", NOW)
    end_squad_from(three_weeks, KESTRELS, A_WEDNESDAY + WEEK, NOW, goes_on_in=HARRIERS)
    text = feed_of(three_weeks, secret)
    assert (text.count("STATUS:CANCELLED"), text.count("STATUS:CONFIRMED")) == (2, 3)
    assert see_ground(three_weeks, secret, A_WEDNESDAY, NOW).squad.name == "U12 Kestrels"
    later = see_ground(three_weeks, secret, A_WEDNESDAY + WEEK, NOW)
    assert (later.squad.name, len(later.sessions)) == ("U14 Harriers", 1)


def test_each_person_gets_one_mail(three_weeks: Store) -> None:
    """However many sessions go, and however far ahead they are; unless nobody is to be mailed."""
    wish = LinkWish(LinkKind.SQUAD, KESTRELS, "A parent", "parent@example.org")
    create_link(three_weeks, wish, NOW)
    end_squad_from(three_weeks, KESTRELS, A_WEDNESDAY, NOW, mails=False)
    assert gather_mails(three_weeks, ALWAYS, NOW, at_once=True) == 0
    undo_change(three_weeks, list_changes(three_weeks, NOW)[0].number, NOW)
    end_squad_from(three_weeks, KESTRELS, A_WEDNESDAY, NOW)
    assert gather_mails(three_weeks, ALWAYS, NOW, at_once=True) == 1


def test_what_it_waits_for_and_offers_goes_and_comes_back(three_weeks: Store) -> None:
    """An ask of the waiting list is answered, and waits again when the end is taken back."""
    robin = Person(0, "Robin Hale", Role.COACH, "", frozenset({KESTRELS}))
    day = A_WEDNESDAY + timedelta(days=1)
    for key in (TOP, LOW, HALL):
        book(
            three_weeks,
            "Fair",
            "whole",
            pitch_key=key,
            day=day,
            start_min=17 * 60,
            end_min=22 * 60,
        )
    ask_for_session(
        three_weeks, robin, SessionAsk(KESTRELS, day, 18 * 60, 20 * 60, 60, 1 / 3, ""), NOW
    )
    words = end_squad_from(three_weeks, KESTRELS, A_WEDNESDAY, NOW)
    assert "one ask of the waiting list goes" in words
    (line,) = list_asks(three_weeks, NOW)
    assert (line.state, "end, with no session" in line.answer) == (AskState.REFUSED, True)
    undo_change(three_weeks, list_changes(three_weeks, NOW)[0].number, NOW)
    assert list_asks(three_weeks, NOW)[0].state is AskState.WAITING


def test_share_outs_of_later_dates_leave_it_out(small: Store) -> None:
    """From a date within a stretch it is asked for, after its end it is not."""
    with small.read() as session:
        (winter,) = load_stretches(session)
    end_squad_from(small, KESTRELS, date(2026, 12, 1), NOW)
    later = replace(winter, starts_on=date(2026, 12, 1))
    with small.read() as session:
        assert {a.squad for a in load_stretch_problem(session, winter).asks} == {
            KESTRELS,
            HARRIERS,
        }
        assert {a.squad for a in load_stretch_problem(session, later).asks} == {HARRIERS}


def test_it_is_told_before_it_is_done_and_held_to_what_was_told(three_weeks: Store) -> None:
    """Sessions that are alike are one line; one that came since is not withdrawn unseen."""
    foreseen = see_squad_end(three_weeks, KESTRELS, A_WEDNESDAY, NOW).foreseen
    assert foreseen is not None
    (habit,) = foreseen.habits
    assert (habit.words, habit.count, habit.last_day) == (
        "Wednesday 18:00–19:15, Clubhouse third, Top pitch",
        3,
        "Wed 9 Dec",
    )
    book(three_weeks, day=A_WEDNESDAY + 3 * WEEK)
    with pytest.raises(OutdatedError, match="look again"):
        end_squad_from(three_weeks, KESTRELS, A_WEDNESDAY, NOW, seen=foreseen.seen)
    assert len(days_of(three_weeks, "U12 Kestrels")) == 4


def test_an_offer_to_change_places_goes_along(three_weeks: Store) -> None:
    """Nobody can accept it any more; the other squad stays where it is."""
    day = A_WEDNESDAY + WEEK
    numbers = {}
    with three_weeks.read() as session:
        for row in session.scalars(select(BookingRow)):
            if row.starts_at.astimezone(LONDON).date() == day:
                numbers[row.squad_id] = row.id
    own, other = (numbers[find_squad_id(three_weeks, key)] for key in (KESTRELS, HARRIERS))
    secretary = Person(0, "Kim", Role.SECRETARY, "", frozenset())
    told = Overruling("an example", None)
    offer_swap(three_weeks, secretary, own, other, "", NOW, told)
    words = end_squad_from(three_weeks, KESTRELS, A_WEDNESDAY, NOW)
    assert "one offer to change places goes" in words
    assert list_swaps(three_weeks, secretary, NOW) == ()
    with pytest.raises(MissingError, match="no longer stands"):
        accept_swap(three_weeks, secretary, 1, NOW)


def test_ground_that_becomes_free_goes_to_whoever_waits(small: Store) -> None:
    """The Harriers wait for that evening, on which all ground is held: they get it at once."""
    for key in ("third-2", "third-3"):
        book(small, "Fair", key, start_min=17 * 60, end_min=22 * 60)
    for pitch in (LOW, HALL):
        book(small, "Fair", "whole", pitch_key=pitch, start_min=17 * 60, end_min=22 * 60)
    book(small, start_min=17 * 60, end_min=22 * 60)
    sam = Person(0, "Sam Reed", Role.COACH, "", frozenset({HARRIERS}))
    wish = SessionAsk(HARRIERS, A_WEDNESDAY, 18 * 60, 20 * 60, 60, 1 / 3, "")
    ask_for_session(small, sam, wish, NOW)
    words = end_squad_from(small, KESTRELS, A_WEDNESDAY, NOW)
    assert "U14 Harriers have Clubhouse third, Top pitch, Wed 25 Nov" in words
    assert days_of(small, "U14 Harriers") == [A_WEDNESDAY]
