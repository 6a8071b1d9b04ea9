"""A squad's new name stands wherever its bookings are shown, and calendars take it."""

from __future__ import annotations

from collections import defaultdict
from datetime import time, timedelta
from typing import TYPE_CHECKING

import pytest
import vobject
from sqlalchemy import func, select, update

from clubplanner.domain.club.people import Person, Role
from clubplanner.domain.club.told.notices import QuietHours
from clubplanner.errors import ClashError
from clubplanner.services.addresses.links import create_squad_link
from clubplanner.services.calendars.calendar_links import LinkKind, LinkWish, create_link
from clubplanner.services.calendars.calendar_page import see_calendar
from clubplanner.services.calendars.feed_memory import FeedMemory
from clubplanner.services.calendars.feeds import build_feed
from clubplanner.services.coach.ground_page import see_ground
from clubplanner.services.evening.bookings import move_booking, withdraw_booking
from clubplanner.services.evening.evening import see_evening
from clubplanner.services.evening.notice_board import see_board, turn_board
from clubplanner.services.giving.swaps import accept_swap, offer_swap
from clubplanner.services.journal.changes import list_changes, undo_change
from clubplanner.services.mails.making.contents import notice_of
from clubplanner.services.mails.making.gathering import gather_mails, want_mail
from clubplanner.services.setup.club_forms import save_venue, see_venue_form
from clubplanner.services.setup.loading import load_files
from clubplanner.services.setup.squads.forms import save_squad, see_squad_form
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.notice_tables import MailRow, NoticeRow
from clubplanner.store.tables.season_tables import ChangedBookingRow
from clubplanner.store.tables.squad_tables import SquadRow
from tests.builders import A_WEDNESDAY, NOW, make_range
from tests.services.calendars.test_feeds import ADDRESS
from tests.small_club import (
    HARRIERS,
    KESTRELS,
    SETTINGS,
    SQUADS,
    book,
    find_area_id,
    kept_bookings,
    load_small_club,
    small_club_files,
)
from tests.stores import ALL_THE_SAME

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import datetime

    from clubplanner.store.engine import Store

LATER = NOW + timedelta(hours=1)
EARLIER = NOW - timedelta(days=14)
NO_QUIET = QuietHours(time(0), time(0))
COACH_EMAIL = (
    SQUADS.replace("coach,", "coach,coach email,")
    .replace("Robin Hale,", "Robin Hale,robin@alderby.example,")
    .replace("Sam Reed,", "Sam Reed,,")
)
SET_BOOKING = """
[[bookings]]
venue = "Marsh Lane"
pitch = "Low pitch"
area = "half-1"
date = 2026-11-26
from = "18:00"
to = "19:00"
purpose = "training"
who = "U12 Kestrels"
"""


@pytest.fixture
def store(empty_store: Store) -> Store:
    """Give the small club with a session of each squad, one that is over, and a hirer."""
    load_small_club(empty_store)
    book(empty_store)
    book(empty_store, HARRIERS, "third-2")
    book(empty_store, "Hill Runners", "third-3")
    book(empty_store, day=A_WEDNESDAY - timedelta(days=14), now=EARLIER)
    return empty_store


def rename_by_form(store: Store, now: datetime = LATER, name: str = "U12 Merlins") -> str:
    """Give the Kestrels another name by their form; return it."""
    form = see_squad_form(store, KESTRELS)
    save_squad(store, KESTRELS, {**form.squad, "squad": name}, form.asks, form.seen, now)
    return name


def rename_by_file(store: Store) -> str:
    """Write the Kestrels otherwise in the squads file: the same squad by its key."""
    load_files(
        store, small_club_files(squads=SQUADS.replace("U12 Kestrels", "U12 KESTRELS")), LATER
    )
    return "U12 KESTRELS"


WAYS = (rename_by_form, rename_by_file)


def secrets_of(store: Store) -> dict[str, str]:
    """Make an address of each kind that shows the session."""
    made = [
        create_link(store, LinkWish(LinkKind.COACH, "Robin Hale", "Robin"), NOW),
        create_link(store, LinkWish(LinkKind.PITCH, "Top pitch", "Alex"), NOW),
    ]
    coach, pitch = (each.path.rpartition("/")[2] for each in made)
    return {
        "squad": create_squad_link(store, KESTRELS, "the squad", NOW),
        "coach": coach,
        "pitch": pitch,
    }


def event_of(store: Store, secret: str, uid: str, now: datetime) -> tuple[str, int, datetime]:
    """Return title, count and stamp of a booking's event, by an outside reader."""
    data = build_feed(store, secret, ADDRESS, now).data.decode()
    (event,) = [e for e in vobject.readOne(data).vevent_list if e.uid.value.endswith(uid)]
    return event.summary.value, int(event.sequence.value), event.last_modified.value


@pytest.mark.parametrize("rename", WAYS)
@pytest.mark.parametrize("kind", ["squad", "coach", "pitch"])
def test_calendars_take_the_new_name(
    store: Store, kind: str, rename: Callable[[Store], str]
) -> None:
    """The event is the same with the next count and a new stamp; no memory answers for it."""
    secret = secrets_of(store)[kind]
    memory = FeedMemory()
    before = memory.build(store, secret, ADDRESS, NOW)
    uid = next(
        k.uid
        for k in kept_bookings(store)
        if k.holder == "U12 Kestrels" and k.local[0] == A_WEDNESDAY
    )
    _, count, _ = event_of(store, secret, uid, NOW)
    name = rename(store)
    assert memory.unchanged_digest(store, secret, LATER) is None
    assert memory.build(store, secret, ADDRESS, LATER).digest != before.digest
    assert event_of(store, secret, uid, LATER) == (
        f"{name}: training, Clubhouse third",
        count + 1,
        LATER.replace(microsecond=0),
    )


@pytest.mark.parametrize("rename", WAYS)
def test_every_page_shows_the_new_name(store: Store, rename: Callable[[Store], str]) -> None:
    """The squad's page, the evening, the notice board and a pitch's calendar page."""
    secrets = secrets_of(store)
    turn_board(store, is_on=True, now=NOW)
    name = rename(store)
    page = see_ground(store, secrets["squad"], A_WEDNESDAY, LATER)
    assert name in repr(page)
    evening = see_evening(store, None, A_WEDNESDAY, None)
    assert sorted(row.holder for row in evening.rows) == ["Hill Runners", name, "U14 Harriers"]
    board = see_board(store, None, A_WEDNESDAY, LATER)
    calendar = see_calendar(store, secrets["pitch"], ADDRESS, LATER)
    for shown in (page, board, calendar):
        assert name in repr(shown)
        assert "U12 Kestrels" not in repr(shown)


def test_who_is_in_the_way_is_named_as_now(store: Store) -> None:
    """A clash names the squad by its new name."""
    name = rename_by_form(store)
    with pytest.raises(ClashError, match=f"held by {name}"):
        book(store, "Choir", "third-1", now=LATER)


def test_the_name_of_anybody_else_stays_as_it_was_written(store: Store) -> None:
    """A hirer who is called like the squad is no squad."""
    book(store, "U12 Kestrels", "third-1", day=A_WEDNESDAY + timedelta(days=1))
    rename_by_form(store)
    evening = see_evening(store, None, A_WEDNESDAY + timedelta(days=1), None)
    assert [row.holder for row in evening.rows] == ["U12 Kestrels"]


def test_only_sessions_to_come_count(store: Store) -> None:
    """What is over, and what others have, is left alone; the same name again counts nothing."""
    rename_by_form(store)
    rename_by_form_again = see_squad_form(store, "u12-merlins")
    save_squad(
        store,
        "u12-merlins",
        rename_by_form_again.squad,
        rename_by_form_again.asks,
        rename_by_form_again.seen,
        LATER + timedelta(hours=1),
    )
    counts = {(kept.holder, kept.local[0]): kept.sequence for kept in kept_bookings(store)}
    assert counts == {
        ("U12 Merlins", A_WEDNESDAY - timedelta(days=14)): 0,
        ("U12 Merlins", A_WEDNESDAY): 1,
        ("U14 Harriers", A_WEDNESDAY): 0,
        ("Hill Runners", A_WEDNESDAY): 0,
    }


def test_nobody_is_written_to_for_a_name(store: Store) -> None:
    """The outbox and the list of changed bookings stay as they are."""

    def count(row: type) -> int:
        with store.read() as session:
            return session.scalar(select(func.count()).select_from(row)) or 0

    before = count(NoticeRow), count(ChangedBookingRow)
    assert min(before) > 0
    rename_by_form(store)
    assert (count(NoticeRow), count(ChangedBookingRow)) == before


def test_what_is_told_late_is_told_in_the_new_name(store: Store) -> None:
    """A mail that was still to be written names the squad as it is called when it is written."""
    load_files(store, small_club_files(squads=COACH_EMAIL), NOW)
    assert want_mail(store, KESTRELS, NOW) == 1
    rename_by_form(store)
    gather_mails(store, NO_QUIET, LATER, at_once=True)
    with store.read() as session:
        mail = session.scalars(select(MailRow)).one()
        notice = notice_of(
            session,
            mail,
            public_address=ADDRESS,
            secrets=defaultdict(lambda: "x"),
            sender="club@alderby.example",
            sent_at=LATER,
        )
    assert notice.squad_name == "U12 Merlins"
    assert notice.changes[0].event.title == "U12 Merlins: training, Clubhouse third"


def test_the_journal_keeps_what_the_squad_was_called(store: Store) -> None:
    """Changes and evenings of before speak of the old name, those since of the new one."""
    rename_by_form(store)
    numbers = {kept.holder: kept for kept in kept_bookings(store) if kept.local[0] == A_WEDNESDAY}
    assert numbers["U12 Merlins"].sequence == 1
    withdraw_booking(store, 1, 1, LATER + timedelta(hours=1))
    lines = [line for change in list_changes(store, LATER) for line in change.lines]
    told = [line for line in lines if "Clubhouse third" in line and "25 Nov" in line]
    assert [line.partition(":")[0] for line in told] == [
        "U12 Merlins withdrawn",
        "U12 Kestrels added",
    ]
    for known, name in ((NOW, "U12 Kestrels"), (LATER, "U12 Merlins")):
        evening = see_evening(store, None, A_WEDNESDAY, None, known)
        assert name in [row.holder for row in evening.rows]


def test_a_name_does_not_keep_a_change_from_being_taken_back(store: Store) -> None:
    """What was done before the squad was renamed can still be undone, under the new name."""
    low = find_area_id(store, "marsh-lane-low-pitch", "half-1")
    move_booking(store, 1, 0, low, make_range(), NOW, ALL_THE_SAME)
    moved = list_changes(store, NOW)[0]
    rename_by_form(store)
    undo_change(store, moved.number, LATER)
    (kept,) = [k for k in kept_bookings(store) if k.holder == "U12 Merlins" and k.sequence > 0]
    assert kept.area.endswith("third-1")


def test_taking_the_new_name_back_counts_again(store: Store) -> None:
    """The old name stands everywhere again, and calendars hear of that too."""
    rename_by_form(store)
    undo_change(store, list_changes(store, LATER)[0].number, LATER + timedelta(hours=1))
    (kept,) = [k for k in kept_bookings(store) if k.sequence > 0]
    assert (kept.holder, kept.sequence) == ("U12 Kestrels", 2)


def test_an_offer_to_change_places_outlives_a_new_name(store: Store) -> None:
    """Nobody has moved, so the other coach can still accept."""
    robin = Person(0, "Robin Hale", Role.COACH, "", frozenset({KESTRELS}))
    sam = Person(0, "Sam Reed", Role.COACH, "", frozenset({HARRIERS}))
    offer_swap(store, robin, 1, 2, "", NOW)
    rename_by_form(store)
    assert accept_swap(store, sam, 1, LATER) == "U12 Merlins and U14 Harriers have changed places."


def test_a_name_changed_by_a_statement_shows_too(store: Store) -> None:
    """Names are looked up, not copied about."""
    with store.write() as session:
        session.execute(update(SquadRow).where(SquadRow.key == KESTRELS).values(name="U12 Owls"))
    with store.read() as session:
        found = session.scalars(select(BookingRow).where(BookingRow.holder == "U12 Owls"))
        assert {row.holder for row in found} == {"U12 Owls"}


def test_set_bookings_are_known_by_the_name_they_were_made_with(store: Store) -> None:
    """Loading the settings again books nothing twice after a squad was renamed."""
    setting = SETTINGS + SET_BOOKING
    load_files(store, small_club_files(settings=setting), NOW)
    before = len(kept_bookings(store))
    rename_by_form(store)
    load_files(store, small_club_files(settings=setting)[:1], LATER)
    assert len(kept_bookings(store)) == before


def test_calendars_take_the_way_there_and_no_number(store: Store) -> None:
    """Typed words stand in the event and count one change; whom to call counts none."""
    secret = create_squad_link(store, KESTRELS, "Coach", NOW)
    before = [booking.sequence for booking in kept_bookings(store)]
    form = see_venue_form(store, "marsh-lane")
    called = {**form.cells, "contact": "Ines Varley", "contact_phone": "01632 960 417"}
    save_venue(store, "marsh-lane", {**called, "phone_for_parents": "yes"}, form.seen, LATER)
    assert [booking.sequence for booking in kept_bookings(store)] == before
    form = see_venue_form(store, "marsh-lane")
    typed = {**form.cells, "way_in": "Gate by the willow", "parking": "Gravel lot"}
    save_venue(store, "marsh-lane", typed, form.seen, LATER)
    after = [booking.sequence for booking in kept_bookings(store)]
    assert [new - old for new, old in zip(after, before, strict=True)] == [0, 1, 1, 1]
    calendar = vobject.readOne(build_feed(store, secret, ADDRESS, LATER).data.decode())
    told = "\n".join(event.description.value for event in calendar.vevent_list)
    assert told.count("Way in: Gate by the willow.") == 2
    assert told.count("Parking: Gravel lot.") == 2
    assert "Ines" not in told
    assert "01632" not in told
