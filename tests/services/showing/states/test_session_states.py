"""Tonight's truth wherever people look: page, squad's page, calendar, mail, board, picture."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING, Any

import icalendar
import pytest

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.booked.closures import Condition
from clubplanner.domain.booked.session_state import Cause, Outcome
from clubplanner.domain.club.people import Person, Role
from clubplanner.domain.club.told.notices import QuietHours
from clubplanner.domain.times.hours_typed import range_typed_until
from clubplanner.domain.times.times import range_from_wall
from clubplanner.language import speaking
from clubplanner.outputs.mails.mail import compose_mail
from clubplanner.services.addresses.links import create_squad_link
from clubplanner.services.calendars.feed_memory import FeedMemory
from clubplanner.services.calendars.feeds import build_feed, draw_area_map
from clubplanner.services.coach.coach_pages import see_coach, see_weeks
from clubplanner.services.coach.ground_page import see_ground
from clubplanner.services.evening.bookings import add_booking, move_booking, withdraw_booking
from clubplanner.services.evening.closures.closing import (
    ClosureWish,
    all_withdrawn,
    close_ground,
    foresee_closure,
)
from clubplanner.services.evening.closures.reopening import reopen_ground
from clubplanner.services.evening.notice_board import see_board
from clubplanner.services.giving.requests import hand_back
from clubplanner.services.journal.changes import list_changes, undo_change
from clubplanner.services.mails.making.contents import notice_of
from clubplanner.services.mails.making.gathering import gather_mails
from clubplanner.services.rows.bookings.booking_rows import BookingWish, insert_booking
from clubplanner.services.rows.snapshot import booking_from_row, load_venues, load_zone
from clubplanner.services.season.year import add_break
from clubplanner.services.showing.states.session_states import load_states
from clubplanner.store.tables.booking_tables import BookingRow, ShareOutRow
from clubplanner.store.tables.club_tables import StretchRow
from clubplanner.store.tables.notice_tables import MailRow
from clubplanner.store.tables.season_tables import ClosureRow
from clubplanner.store.tables.squad_tables import SquadRow
from tests.builders import A_WEDNESDAY, LONDON, NOW, make_range
from tests.small_club import (
    HALL,
    HARRIERS,
    KESTRELS,
    LOW,
    TOP,
    book,
    find_area_id,
    find_squad_id,
    kept_bookings,
)
from tests.stores import ALL_THE_SAME

if TYPE_CHECKING:
    from email.message import EmailMessage

    from clubplanner.domain.booked.session_state import SessionState
    from clubplanner.store.engine import Store

THURSDAY = A_WEDNESDAY + timedelta(days=1)
AT_1700 = datetime(2026, 11, 25, 17, 0, tzinfo=UTC)
AT_1730 = AT_1700 + timedelta(minutes=30)
COACH = Person(1, "Robin Hale", Role.COACH, "", frozenset({KESTRELS}))
ADDRESS = "https://pitches.example.org"
ANY_HOUR = QuietHours(AT_1700.time(), AT_1700.time())


@pytest.fixture
def store(small: Store) -> Store:
    """Give the small club with a session tonight and one tomorrow."""
    book(small)
    book(small, area_key="half-1", pitch_key=HALL, day=THURSDAY, start_min=1125, end_min=1200)
    return small


def close(store: Store, decisions: dict[int, str] | None = None, **changes: Any) -> int:
    """Close the top pitch tonight for water; everybody there is withdrawn unless decided."""
    during = range_typed_until(A_WEDNESDAY, 17 * 60, A_WEDNESDAY, 24 * 60, LONDON)
    wish = ClosureWish(find_area_id(store, TOP, "whole"), during, Condition.CLOSED, "waterlogged")
    wish = replace(wish, **changes)
    if decisions is None:
        decisions = all_withdrawn(foresee_closure(store, wish, AT_1700).displaced)
    return close_ground(store, wish, decisions, AT_1700).number


def state(store: Store, number: int = 1) -> SessionState:
    """Return what is true of a booking."""
    with store.read() as session:
        booking = booking_from_row(session.get_one(BookingRow, number))
        return load_states(session, [booking], load_venues(session), load_zone(session))[number]


def move(store: Store, pitch_key: str, area_key: str, sequence: int, **changes: Any) -> None:
    """Move tonight's session by hand."""
    during = changes.pop("during", make_range())
    area = find_area_id(store, pitch_key, area_key)
    move_booking(store, 1, sequence, area, during, AT_1700, ALL_THE_SAME, **changes)


def event(store: Store, secret: str, number: int = 0, now: datetime = AT_1730) -> dict[str, str]:
    """Return an event of the Kestrels' calendar, read by icalendar."""
    calendar = icalendar.Calendar.from_ical(build_feed(store, secret, ADDRESS, now).data)
    return {name: str(value) for name, value in calendar.walk("VEVENT")[number].items()}


@pytest.fixture
def secret(store: Store) -> str:
    """Give the secret of the Kestrels' address."""
    return create_squad_link(store, KESTRELS, "a test", NOW)


def mail(store: Store, now: datetime = AT_1730) -> EmailMessage:
    """Return the one mail that is written."""
    with store.write() as session:
        for squad in session.query(SquadRow):
            squad.coaches[0].person.email = f"{squad.key}@mail.example"
    gather_mails(store, ANY_HOUR, now, at_once=True)
    with store.read() as session:
        (row,) = session.query(MailRow).all()
        notice = notice_of(
            session,
            row,
            public_address=ADDRESS,
            secrets=defaultdict(lambda: "s"),
            sender="a@b.example",
            sent_at=now,
        )
        return compose_mail(notice)


def words(message: EmailMessage) -> str:
    """Return the plain text of a mail."""
    body = message.get_body(("plain",))
    assert body is not None
    return str(body.get_content())


def test_a_coach_reads_that_tonight_is_off_and_why_and_what_is_next(store: Store) -> None:
    """Withdrawn at 17:00, looked at at 17:30: tonight's comes first, then tomorrow's ground."""
    close(store)
    page = see_coach(store, COACH, AT_1730)
    (off,) = page.missed
    assert off.state.headline == "No training today: waterlogged."
    assert off.state.details[0] == "Next: tomorrow, 18:45–20:00, Clubhouse half, Hall."
    assert off.state.details[1] == "It was to be: 18:00–19:15, Clubhouse third, Top pitch."
    assert off.day_words == "Today, Wednesday 25 November 2026"
    assert [ground.day_words for ground in page.sessions] == ["Tomorrow, Thursday 26 November"]
    (week,) = see_weeks(store, COACH, AT_1730).weeks
    assert [line.state and line.state.short for line in week.lines] == ["Waterlogged", None]
    assert not week.gaps


def test_moved_to_another_day_and_called_off_is_off_on_both(store: Store, secret: str) -> None:
    """Whoever heard of the move looks on Friday, whoever did not looks tonight."""
    friday = A_WEDNESDAY + timedelta(days=2)
    move(store, TOP, "third-2", 0, during=make_range(friday))
    withdraw_booking(store, 1, 1, AT_1700 + timedelta(minutes=10))
    (tonight,) = see_ground(store, secret, None, AT_1730).missed
    assert tonight.state.headline == "No training today."
    (off,) = see_ground(store, secret, friday, AT_1730).missed
    assert off.state.headline == "No training on Friday 27 November 2026."
    assert off.state.details[:2] == (
        "It was to be: 18:00–19:15, Middle third, Top pitch.",
        "At first it was to be: today, 18:00–19:15, Clubhouse third, Top pitch.",
    )
    once_it_was_planned = make_range().ends_at
    assert see_ground(store, secret, friday, once_it_was_planned).missed
    assert event(store, secret, 1)["DESCRIPTION"].startswith("No training on Friday 27 November")


def test_the_squads_page_opens_on_tonights_session_that_is_off(store: Store, secret: str) -> None:
    """Not on tomorrow's as if nothing were; the list has both."""
    close(store)
    page = see_ground(store, secret, None, AT_1730)
    assert page.day == A_WEDNESDAY
    assert not page.sessions
    assert page.missed[0].state.headline == "No training today: waterlogged."
    assert [one.state is not None for one in page.coming] == [True, False]
    assert page.following is not None
    assert page.following.day == THURSDAY


def test_once_its_time_has_passed_the_next_session_is_the_next(store: Store, secret: str) -> None:
    """To the minute: the banner stays until the session would have ended."""
    close(store)
    end = make_range().ends_at
    assert see_coach(store, COACH, end - timedelta(seconds=1)).missed
    assert not see_coach(store, COACH, end).missed
    assert see_ground(store, secret, None, end).day == THURSDAY


def test_the_calendar_says_first_that_it_is_off(store: Store, secret: str) -> None:
    """Title, status and first line; where it was stays readable, today is no word of it."""
    before = event(store, secret)
    assert before["LOCATION"] == "Marsh Lane, Top pitch, Clubhouse third, Marsh Lane, Alderby"
    close(store)
    after = event(store, secret)
    assert after["SUMMARY"] == "Off: U12 Kestrels, training"
    assert after["STATUS"] == "CANCELLED"
    first, *rest = after["DESCRIPTION"].splitlines()
    assert first == "No training on Wednesday 25 November 2026: waterlogged."
    assert rest[0] == "It was to be: 18:00–19:15, Clubhouse third, Top pitch."
    assert "today" not in after["DESCRIPTION"]
    assert int(after["SEQUENCE"]) > int(before["SEQUENCE"])


def test_the_calendar_keeps_it_until_its_day_is_over(store: Store, secret: str) -> None:
    """Through the evening, and not past the club's midnight."""
    close(store)
    midnight = datetime(2026, 11, 26, tzinfo=UTC)
    assert event(store, secret, now=midnight - timedelta(seconds=1))["STATUS"] == "CANCELLED"
    assert event(store, secret, now=midnight)["STATUS"] == "CONFIRMED"
    assert build_feed(store, secret, ADDRESS, AT_1730).valid_until == midnight


@pytest.mark.parametrize(("day", "hours"), [(date(2026, 10, 25), 25), (date(2027, 3, 28), 23)])
def test_its_day_is_the_clubs_day_when_the_clocks_change(
    small: Store, day: date, hours: int
) -> None:
    """A session called off on a day of 25 or 23 hours leaves the calendar at its midnight."""
    made = datetime(2026, 9, 1, 12, tzinfo=UTC)
    number = book(small, day=day, now=made)
    withdraw_booking(small, number, 0, made)
    link = create_squad_link(small, KESTRELS, "a test", made)
    begin = range_from_wall(day, 0, 24 * 60, LONDON)
    assert begin.minutes == hours * 60
    assert build_feed(small, link, ADDRESS, begin.starts_at).valid_until == begin.ends_at
    page = see_coach(small, COACH, begin.starts_at)
    assert page.missed[0].state.headline == "No training today."


def test_a_session_over_midnight_is_told_of_on_the_day_it_begins(small: Store) -> None:
    """At 23:50 it is today's, ten minutes past midnight yesterday's and still not over."""
    number = book(small, pitch_key=LOW, area_key="whole", start_min=1410, end_min=1500)
    withdraw_booking(small, number, 0, AT_1700, why="no light")
    late = datetime(2026, 11, 25, 23, 50, tzinfo=UTC)
    headline = see_coach(small, COACH, late).missed[0].state.headline
    assert headline == "No training today: no light."
    past = see_coach(small, COACH, late + timedelta(minutes=20)).missed[0].state.headline
    assert past == "No training on Wednesday 25 November 2026: no light."
    eve = see_coach(small, COACH, late - timedelta(days=1)).missed[0].state.headline
    assert eve == "No training tomorrow: no light."


def test_the_mail_opens_with_the_outcome(store: Store) -> None:
    """Subject and first line; what was and why below."""
    close(store)
    message = mail(store)
    assert message["Subject"] == "Off today: U12 Kestrels, 18:00, waterlogged"
    text = words(message)
    assert text.startswith("No training today: waterlogged. (U12 Kestrels)\n")
    assert "  why: waterlogged\n  was: Wednesday 25 November 2026, 18:00–19:15, " in text


def test_a_mail_about_a_move_opens_with_where_to_go(store: Store) -> None:
    """Now, then why, then where it was to be."""
    close(store, {1: f"{find_area_id(store, HALL, 'half-1')}@{_at(18)}"})
    message = mail(store)
    assert message["Subject"] == (
        "Moved today: U12 Kestrels, 18:00, Clubhouse half, Hall, Marsh Lane"
    )
    assert words(message).startswith(
        "Moved today: now 18:00–19:15, Clubhouse half, Hall. (U12 Kestrels)\n"
    )


def test_the_board_strikes_it_out_rather_than_forget_it(store: Store) -> None:
    """With its reason, where it was to be; the closing stands beside it."""
    close(store)
    rows = see_board(store, None, A_WEDNESDAY, AT_1730).rows
    (off,) = [row for row in rows if row.is_off]
    assert (off.who, off.times, off.where) == (
        "U12 Kestrels",
        "18:00–19:15",
        "Clubhouse third, Top pitch",
    )
    assert off.state is not None
    assert (off.state.label, off.state.short) == ("Off", "Waterlogged")
    assert not off.is_now


def test_the_board_says_where_a_moved_session_was(store: Store) -> None:
    """On the same day beside the new place; on another day where it was missed, too."""
    move(store, HALL, "half-1", 0, why="the grass rests")
    (row,) = see_board(store, None, A_WEDNESDAY, AT_1730).rows
    assert row.state is not None
    assert row.where == "Clubhouse half, Hall"
    assert row.state.short == "was Clubhouse third, Top pitch (the grass rests)"
    friday = A_WEDNESDAY + timedelta(days=2)
    move(store, HALL, "half-1", 1, during=make_range(friday))
    (row,) = see_board(store, None, A_WEDNESDAY, AT_1730).rows
    assert row.is_off
    assert row.state is not None
    assert "Instead: Fri 27 Nov, 18:00–19:15, Clubhouse half, Hall" in row.state.short


def test_moved_twice_and_back_it_is_on_again_everywhere(store: Store, secret: str) -> None:
    """No banner, no word in the calendar, nothing on the board."""
    move(store, HALL, "half-1", 0)
    assert event(store, secret)["SUMMARY"] == "Moved: U12 Kestrels, training, Clubhouse half"
    move(store, LOW, "half-1", 1)
    assert state(store).was is not None
    move(store, TOP, "third-1", 2)
    assert state(store).outcome is Outcome.ON
    assert see_coach(store, COACH, AT_1730).sessions[0].state is None
    assert event(store, secret)["SUMMARY"] == "U12 Kestrels: training, Clubhouse third"
    assert see_board(store, None, A_WEDNESDAY, AT_1730).rows[0].state is None


def test_taken_back_it_is_on_again(store: Store) -> None:
    """The closing is undone: nothing was."""
    close(store)
    undo_change(store, list_changes(store, AT_1730)[0].number, AT_1730)
    assert state(store).outcome is Outcome.ON


def test_what_is_closed_again_by_taking_the_opening_back_says_why(store: Store) -> None:
    """Whoever comes for it reads the reason that the closing had, each time it is so again."""
    close(store)
    reopen_ground(store, 1, AT_1700, {1: 1})
    assert not state(store).differs
    for _again in range(2):
        undo_change(store, list_changes(store, AT_1730)[0].number, AT_1730)
        assert state(store).reason.words == "waterlogged"
        undo_change(store, list_changes(store, AT_1730)[0].number, AT_1730)
        assert not state(store).differs


def test_what_was_added_and_is_taken_back_has_no_reason_of_another_time(store: Store) -> None:
    """The reason for which it was once called off is none for which it never was to be."""
    added = list_changes(store, AT_1700)[1].number
    withdraw_booking(store, 1, 0, AT_1700, why="no lights")
    undo_change(store, list_changes(store, AT_1730)[0].number, AT_1730)
    undo_change(store, added, AT_1730)
    assert state(store).outcome is Outcome.OFF
    assert not state(store).reason.words


def test_called_off_and_put_elsewhere_it_is_moved(store: Store, secret: str) -> None:
    """Another session that evening in its place: each tells of the other, once on the page."""
    close(store)
    during = make_range(start_min=1140, end_min=1200)
    wish = BookingWish(
        find_area_id(store, HALL, "half-1"),
        during,
        Purpose.TRAINING,
        find_squad_id(store, KESTRELS),
        "",
        "",
        True,
    )
    number = add_booking(store, wish, AT_1700 + timedelta(minutes=5), ALL_THE_SAME).number
    assert state(store, number).outcome is Outcome.MOVED
    assert state(store, number).reason.words == "waterlogged"
    page = see_coach(store, COACH, AT_1730)
    (off,) = page.missed
    assert off.state.headline == "Training today at 18:00 is off: waterlogged."
    assert "Instead: 19:00–20:00, Clubhouse half, Hall." in off.state.details
    assert page.sessions[0].state is not None
    assert page.sessions[0].state.headline.startswith("Moved today: now 19:00–20:00")
    assert event(store, secret)["SUMMARY"] == "Off: U12 Kestrels, training"


def test_moved_to_another_day_tonight_says_so_and_so_does_that_day(
    store: Store, secret: str
) -> None:
    """Whoever looks tonight reads where it went, though another session comes before it."""
    friday = A_WEDNESDAY + timedelta(days=2)
    move(store, TOP, "third-1", 0, during=make_range(friday), why="a funeral")
    page = see_coach(store, COACH, AT_1730)
    (missed,) = page.missed
    assert missed.state.headline == (
        "Moved to Friday 27 November 2026: 18:00–19:15, Clubhouse third, Top pitch."
    )
    assert missed.state.details[0] == "Why: a funeral."
    assert "It was to be: today, 18:00–19:15, Clubhouse third, Top pitch." in (missed.state.details)
    assert page.sessions[0].day == THURSDAY
    there = see_ground(store, secret, friday, AT_1730)
    assert there.sessions[0].state is not None
    assert not there.missed


def test_a_coachs_own_handing_back_says_so(store: Store) -> None:
    """With the word they gave, if any."""
    hand_back(store, COACH, 1, 0, AT_1700, why="the bus broke down")
    headline = see_coach(store, COACH, AT_1730).missed[0].state.headline
    assert headline == "No training today: handed back by the coach, the bus broke down."


def test_a_reason_that_the_secretary_typed_is_told(store: Store) -> None:
    """Of a withdrawal."""
    withdraw_booking(store, 1, 0, AT_1700, why="Nobody has a key.")
    headline = see_coach(store, COACH, AT_1730).missed[0].state.headline
    assert headline == "No training today: Nobody has a key."


def test_a_break_says_its_name(small: Store) -> None:
    """Training that a break withdraws is off for it; what the share-out put there."""
    number = book(small, is_fixed=False)
    with small.write() as session:
        stretch = session.query(StretchRow).first()
        assert stretch is not None
        row = ShareOutRow(
            stretch_id=stretch.id,
            sort="whole",
            created_at=NOW,
            kind="proposal",
            outcome={},
            published_at=NOW,
        )
        session.add(row)
        session.flush()
        session.get_one(BookingRow, number).share_out_id = row.id
    add_break(small, "Snow days", A_WEDNESDAY, A_WEDNESDAY, AT_1700, withdraws=True)
    reason = state(small, number).reason
    assert (reason.cause, reason.words) == (Cause.BREAK, "Snow days")


def test_a_closures_reason_that_is_changed_is_told_anew_and_counted(
    store: Store, secret: str
) -> None:
    """Calendars take it because the count rises, and a remembered feed is built again."""
    number = close(store)
    memory = FeedMemory()
    known = memory.build(store, secret, ADDRESS, AT_1730)
    before = event(store, secret)
    with store.write() as session:
        session.get_one(ClosureRow, number).reason = "frozen hard"
    after = event(store, secret)
    assert after["DESCRIPTION"].startswith(
        "No training on Wednesday 25 November 2026: frozen hard."
    )
    assert int(after["SEQUENCE"]) == int(before["SEQUENCE"]) + 1
    assert memory.unchanged_digest(store, secret, AT_1730) is None
    assert memory.build(store, secret, ADDRESS, AT_1730).digest != known.digest


def test_a_condition_that_comes_later_is_told_and_counted(store: Store, secret: str) -> None:
    """The booking stays as it is; title, first line, page and count follow, and back again."""
    before = event(store, secret)
    number = close(store, {}, condition=Condition.HALF_LOAD, reason="frost")
    after = event(store, secret)
    assert after["SUMMARY"] == "Half load: U12 Kestrels, training, Clubhouse third"
    assert after["STATUS"] == "CONFIRMED"
    first, _line, _rest = after["DESCRIPTION"].partition("\n")
    assert first == "With a condition on Wednesday 25 November 2026: half load (frost)."
    assert int(after["SEQUENCE"]) == int(before["SEQUENCE"]) + 1
    (ground,) = see_coach(store, COACH, AT_1730).sessions
    assert ground.state is not None
    assert ground.state.outcome == "limited"
    assert not ground.dark_warning
    reopen_ground(store, number, AT_1730)
    assert event(store, secret)["SUMMARY"] == before["SUMMARY"]
    assert int(event(store, secret)["SEQUENCE"]) == int(after["SEQUENCE"]) + 1
    assert kept_bookings(store)[1].sequence == 0, "tomorrow's is not touched"


def test_a_condition_that_was_lifted_is_none_for_what_begins_later(store: Store) -> None:
    """Lifted while a session runs, it was one for that session, and is none for tomorrow's."""
    book(store, HARRIERS, area_key="third-1", day=THURSDAY)
    during = range_typed_until(A_WEDNESDAY, 17 * 60, THURSDAY, 24 * 60, LONDON)
    number = close(store, {}, condition=Condition.HALF_LOAD, reason="frost", during=during)
    reopen_ground(store, number, AT_1730 + timedelta(hours=1))
    with store.read() as session:
        rows = session.query(BookingRow).order_by(BookingRow.id)
        bookings = [booking_from_row(row) for row in rows]
        states = load_states(session, bookings, load_venues(session), load_zone(session))
    assert [states[n].outcome for n in (1, 3)] == [Outcome.LIMITED, Outcome.ON]


def test_the_picture_shows_that_it_is_off(store: Store, secret: str) -> None:
    """Another picture than before, under another address."""
    before = draw_area_map(store, secret, 1)
    close(store)
    assert draw_area_map(store, secret, 1) != before


def test_a_match_that_takes_the_ground_is_the_reason(store: Store) -> None:
    """Whose match it is, told to whoever has to go."""
    with store.write() as session:
        row = session.get_one(BookingRow, 1)
        row.is_withdrawn = True
        row.sequence += 1
        session.flush()
        wish = BookingWish(
            find_area_id(store, TOP, "whole"),
            make_range(),
            Purpose.MATCH,
            find_squad_id(store, HARRIERS),
            "U14 Harriers",
            "",
            True,
        )
        insert_booking(session, wish, AT_1700)
    headline = see_coach(store, COACH, AT_1730).missed[0].state.headline
    assert headline == "No training today: a match of U14 Harriers needs the ground."


def test_in_german_every_word_of_it_is_german(store: Store, secret: str) -> None:
    """Page, calendar and mail in the club's language."""
    close(store)
    with speaking("de"):
        (off,) = see_coach(store, COACH, AT_1730).missed
        assert off.state.headline == "Kein Training heute: waterlogged."
        assert off.state.label == "Entfällt"
        assert off.state.details[0].startswith("Als Nächstes: ")
        message = mail(store)
        assert message["Subject"] == "Entfällt heute: U12 Kestrels, 18:00, waterlogged"


def _at(hour: int) -> int:
    return int(datetime(2026, 11, 25, hour, tzinfo=UTC).timestamp())


def test_a_change_of_words_alone_is_no_move(store: Store) -> None:
    """A note leaves the session where it is."""
    with store.write() as session:
        session.get_one(BookingRow, 1).note = "Bring bibs"
    assert state(store).outcome is Outcome.ON
