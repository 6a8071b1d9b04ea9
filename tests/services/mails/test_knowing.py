"""Who knows of a change: by mail, by calendar or page, or nobody: then whom to ring."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import select

from clubplanner.config import Config
from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.club.people import Role
from clubplanner.domain.club.persons.coaches import Coach
from clubplanner.services.addresses.looks import note_look
from clubplanner.services.calendars.calendar_links import LinkKind, LinkWish, create_link
from clubplanner.services.evening.bookings import move_booking, withdraw_booking
from clubplanner.services.journal.changes import list_changes, undo_change
from clubplanner.services.mails.knowing import Knowing, not_reached_ahead, who_knows_of_changes
from clubplanner.services.people.people import PersonDraft, add_person
from clubplanner.services.people.ways_in.browsers import open_browser
from clubplanner.services.rows.people.coaching import set_coaches
from clubplanner.services.setup.squads.coach_book import CoachBook
from clubplanner.store.tables.knowing_tables import LookRow
from clubplanner.store.tables.people_tables import BrowserRow
from clubplanner.store.tables.push_tables import PushReaderRow, PushRow, PushState
from clubplanner.store.tables.season_tables import ChangeRow
from clubplanner.store.tables.squad_tables import SquadRow
from tests.builders import A_WEDNESDAY, make_range
from tests.services.mails.sending.test_delivering import (
    ADDRESS,
    LATER,
    NOON,
    ROBIN,
    WITH_ADDRESSES,
    send,
)
from tests.small_club import (
    HARRIERS,
    KESTRELS,
    TOP,
    book,
    find_area_id,
    find_squad_id,
    load_small_club,
)

if TYPE_CHECKING:
    from datetime import datetime

    from clubplanner.store.engine import Store
    from tests.mail_server import Postbox

NEXT_WEEK = A_WEDNESDAY + timedelta(days=7)
NO_MAIL = Config("", ADDRESS)
LONG_AGO = NOON - timedelta(days=3)


@pytest.fixture
def store(empty_store: Store) -> Store:
    """Give the small club, its coaches with mail addresses, nothing to tell."""
    return load_small_club(empty_store, squads=WITH_ADDRESSES)


def knowing(store: Store, now: datetime, box: Postbox | None = None) -> Knowing:
    """Say who knows of the last change."""
    with store.read() as session:
        last = session.scalars(select(ChangeRow.id).order_by(ChangeRow.id.desc())).first()
    assert last is not None
    config = NO_MAIL if box is None else Config("", ADDRESS, mail_server=box.settings)
    return who_knows_of_changes(store, config, [last], now)


def test_without_mail_whoever_trains_tonight_has_to_be_rung(store: Store) -> None:
    """Name, squad and why; nobody counts as told."""
    number = book(store, now=LONG_AGO)
    withdraw_booking(store, number, 0, NOON)
    known = knowing(store, NOON)
    (one,) = known.not_reached
    assert (one.name, one.squads, one.why) == ("Robin Hale", "U12 Kestrels", "Mail is not set up.")
    assert known.counts == "1 not reached"
    with store.read() as session:
        assert not_reached_ahead(session, NO_MAIL, NOON) == known.not_reached


def test_a_mail_on_its_way_and_one_that_was_taken(store: Store, box: Postbox) -> None:
    """From the moment of the change the person counts as told, and by when it is said."""
    number = book(store, now=LONG_AGO)
    withdraw_booking(store, number, 0, NOON)
    assert [one.how for one in knowing(store, NOON, box).by_mail] == ["a mail is on its way"]
    send(store, box)
    (one,) = knowing(store, LATER + timedelta(minutes=1), box).by_mail
    assert (one.name, one.how) == ("Robin Hale", "mailed Wed 25 Nov, 12:02")


def test_what_was_taken_back_before_anybody_was_told_concerns_nobody(
    store: Store, box: Postbox
) -> None:
    """No mail is on its way, and nobody is to be rung; what was told and taken back is told."""
    number = book(store, now=LONG_AGO)
    send(store, box, LONG_AGO + timedelta(minutes=3))
    withdraw_booking(store, number, 0, NOON)
    undo_change(store, list_changes(store, NOON)[0].number, NOON + timedelta(minutes=1))
    assert not knowing(store, NOON + timedelta(minutes=1), box)
    send(store, box, NOON + timedelta(minutes=5))
    assert not knowing(store, NOON + timedelta(hours=1), box)
    withdraw_booking(store, number, 2, NOON + timedelta(hours=1))
    send(store, box, NOON + timedelta(minutes=65))
    undo_change(store, list_changes(store, NOON)[0].number, NOON + timedelta(minutes=66))
    known = knowing(store, NOON + timedelta(minutes=66), box)
    assert [one.how for one in known.by_mail] == ["a mail is on its way"]


def test_a_mail_that_was_refused_leaves_somebody_to_ring(store: Store, box: Postbox) -> None:
    """What the mail server said is why."""
    book(store, now=NOON)
    box.answers["RCPT"] = "550 5.1.1 nobody here"
    send(store, box)
    (one,) = knowing(store, LATER, box).not_reached
    assert one.name == "Robin Hale"
    assert "nobody here" in one.why


def test_while_the_server_takes_nothing_nobody_counts_as_told(store: Store, box: Postbox) -> None:
    """The mail waits, but the session may be over before it goes."""
    book(store, now=NOON)
    box.answers["MAIL"] = "550 5.7.1 not you"
    send(store, box)
    (one,) = knowing(store, LATER, box).not_reached
    assert one.why == "The mail server takes no mails at the moment."


def test_what_is_far_ahead_is_seen_in_a_calendar_that_is_fetched(store: Store) -> None:
    """Made is not fetched; fetched yesterday is; fetched a fortnight ago is not."""
    number = book(store, day=NEXT_WEEK, now=LONG_AGO)
    area = find_area_id(store, TOP, "third-2")
    wish = LinkWish(LinkKind.COACH, "Robin Hale", "Robin Hale")
    secret = create_link(store, wish, LONG_AGO).path.rpartition("/")[2]
    move_booking(store, number, 0, area, make_range(NEXT_WEEK), NOON)
    assert [one.name for one in knowing(store, NOON).not_reached] == ["Robin Hale"]
    note_look(store, secret, NOON - timedelta(days=1), feed=True)
    (one,) = knowing(store, NOON).by_calendar
    assert one.how == "their calendar fetches it, last Tue 24 Nov, 12:00"
    note_look(store, secret, NOON + timedelta(minutes=5), feed=True)
    (one,) = knowing(store, NOON + timedelta(minutes=6)).by_calendar
    assert one.how == "has had it since, Wed 25 Nov, 12:05"
    assert knowing(store, NOON + timedelta(days=6, hours=23)).by_calendar


def test_tonight_a_calendar_counts_only_once_it_was_fetched_since(store: Store) -> None:
    """Programs look once a day: too late for this evening."""
    number = book(store, now=LONG_AGO)
    coach = add_person(store, PersonDraft("Robin Hale", Role.COACH, "", (KESTRELS,)), LONG_AGO)
    note_look(store, coach, NOON - timedelta(hours=3))
    withdraw_booking(store, number, 0, NOON)
    assert knowing(store, NOON + timedelta(minutes=1)).not_reached
    note_look(store, coach, NOON + timedelta(seconds=9))
    assert knowing(store, NOON + timedelta(minutes=1)).not_reached, "perhaps before it was written"
    note_look(store, coach, NOON + timedelta(hours=2))
    known = knowing(store, NOON + timedelta(hours=2))
    assert (known.counts, known.not_reached) == ("1 sees it on page, calendar or phone", ())


def coach_it(store: Store, *coaches: Coach) -> None:
    """Let people coach the Kestrels, the first one first."""
    with store.write() as session:
        squad = session.scalars(select(SquadRow).where(SquadRow.key == KESTRELS)).one()
        people = CoachBook(session, coaches, LONG_AGO)
        rows = [people.find(coach, squad.id) for coach in coaches]
        session.flush()
        set_coaches(session, squad, rows, LONG_AGO)


def test_numbers_are_told_the_first_coach_first(store: Store) -> None:
    """Nobody is reached: first whoever answers for the squad, then who assists."""
    robin = Coach("Robin Hale", ROBIN, "01632 960961")
    coach_it(store, robin, Coach("Lee", "", "01632 960962"))
    withdraw_booking(store, book(store, now=LONG_AGO), 0, NOON)
    ring = [(one.name, one.phone) for one in knowing(store, NOON).not_reached]
    assert ring == [("Robin Hale", "01632 960961"), ("Lee", "01632 960962")]


def test_a_squad_is_reached_once_one_of_its_coaches_is(store: Store, box: Postbox) -> None:
    """The assistant is mailed, so that nobody has to be rung."""
    coach_it(store, Coach("Pat"), Coach("Lee", "lee@alderby.example"))
    withdraw_booking(store, book(store, now=LONG_AGO), 0, NOON)
    known = knowing(store, NOON, box)
    assert ([one.name for one in known.by_mail], known.not_reached) == (["Lee"], ())


def test_a_phone_that_was_told_counts(store: Store) -> None:
    """From the moment its service took the notice; what it still waits for does not."""
    number = book(store, now=LONG_AGO)
    coach = add_person(store, PersonDraft("Robin Hale", Role.COACH, "", (KESTRELS,)), LONG_AGO)
    withdraw_booking(store, number, 0, NOON)
    with store.write() as session:
        open_browser(session, coach, "A phone", NOON)
        browser = session.scalars(select(BrowserRow)).one()
        reader = PushReaderRow(
            browser_id=browser.id,
            endpoint="https://push.example/1",
            public_key="k",
            auth="a",
            language="en",
            created_at=NOON,
        )
        push = PushRow(
            reader=reader,
            squad_id=find_squad_id(store, KESTRELS),
            changes=[],
            tag="1",
            made_at=NOON,
            next_try_at=NOON,
            attempts=0,
            state=PushState.WAITING,
            words="",
        )
        session.add(push)
    assert knowing(store, LATER).not_reached
    with store.write() as session:
        row = session.scalars(select(PushRow)).one()
        row.state, row.ended_at = PushState.SENT, LATER
    (one,) = knowing(store, LATER).by_calendar
    assert one.how == "told on their phone, Wed 25 Nov, 12:02"


def test_somebody_elses_look_does_not_count(store: Store) -> None:
    """A coach of another squad who had their page knows nothing of this one."""
    number = book(store, now=LONG_AGO)
    other = add_person(store, PersonDraft("Sam Reed", Role.COACH, "", (HARRIERS,)), LONG_AGO)
    withdraw_booking(store, number, 0, NOON)
    note_look(store, other, NOON + timedelta(hours=1))
    assert knowing(store, NOON + timedelta(hours=2)).not_reached


def test_a_hirer_is_rung_and_what_is_over_concerns_nobody(store: Store) -> None:
    """Whoever is no squad of the club's hears of nothing by itself."""
    number = book(store, "Ramblers", purpose=Purpose.HIRE, now=LONG_AGO)
    withdraw_booking(store, number, 0, NOON)
    assert [one.name for one in knowing(store, NOON).not_reached] == ["Ramblers"]
    assert not knowing(store, NOON + timedelta(days=1))


def test_another_look_at_the_same_is_noted_once_an_hour(store: Store) -> None:
    """Pages are not slowed down by writing when nothing has changed."""
    coach = add_person(store, PersonDraft("Robin Hale", Role.COACH, ROBIN, (KESTRELS,)), LONG_AGO)
    at = []
    for minutes in (0, 20, 59, 60, 61):  # instants are kept in whole seconds
        note_look(store, coach, NOON + timedelta(minutes=minutes))
        with store.read() as session:
            at.append(session.scalars(select(LookRow.page_at)).one())
    noon = NOON.replace(microsecond=0)
    assert [(x - noon) // timedelta(minutes=1) for x in at if x] == [0, 0, 0, 60, 60]
    book(store, now=NOON)
    note_look(store, coach, NOON + timedelta(minutes=62))
    with store.read() as session:
        assert session.scalars(select(LookRow.page_at)).one() == noon + timedelta(minutes=62)
