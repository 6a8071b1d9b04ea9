"""Tests of a squad's feed and maps: an event a booking, at the right instants, with its picture."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING

import icalendar
import pytest
import recurring_ical_events
import vobject

from clubplanner.domain.times.times import day_in_words, end_of_day
from clubplanner.errors import MissingError
from clubplanner.outputs.drawings.caption import Caption, with_caption
from clubplanner.outputs.drawings.picture import PICTURE_WIDTH_PX, png_from_svg
from clubplanner.resources import font_files
from clubplanner.services.addresses.links import create_squad_link
from clubplanner.services.calendars.calendar_links import LinkKind, LinkWish, create_link
from clubplanner.services.calendars.calendar_page import see_calendar
from clubplanner.services.calendars.feeds import build_feed, draw_area_map, export_feed
from clubplanner.services.coach.ground_page import see_ground
from clubplanner.services.evening.bookings import move_booking, withdraw_booking
from clubplanner.services.rows.club.club import club_name
from tests.builders import A_WEDNESDAY, LONDON, NOW, make_range
from tests.small_club import (
    HARRIERS,
    KESTRELS,
    LOW,
    SETTINGS,
    TOP,
    book,
    find_area_id,
    kept_bookings,
    load_small_club,
)
from tests.stores import ALL_THE_SAME, watching_disk

if TYPE_CHECKING:
    from clubplanner.services.calendars.feeds import FeedFile
    from clubplanner.store.engine import Store

AUTUMN = datetime(2026, 10, 1, 12, 0, 7, 482_193, tzinfo=UTC)
CHANGES = ((date(2026, 10, 24), date(2026, 10, 26)), (date(2027, 3, 27), date(2027, 3, 29)))
"""The days before and after the clocks change in London: 25 October 2026 and 28 March 2027."""
ADDRESS = "https://pitches.example.org"


@pytest.fixture
def store(empty_store: Store) -> Store:
    """Give the small club as it stands in autumn, without bookings."""
    return load_small_club(empty_store, AUTUMN)


@pytest.fixture
def secret(store: Store) -> str:
    """Give the secret of the Kestrels' address."""
    return create_squad_link(store, KESTRELS, "a test", AUTUMN)


def feed(store: Store, secret: str, now: datetime = AUTUMN) -> FeedFile:
    """Build the feed."""
    return build_feed(store, secret, ADDRESS, now)


def test_each_booking_of_the_squad_is_one_event(store: Store, secret: str) -> None:
    """Its own bookings and no others', one event each, named by ground and reason."""
    numbers = [book(store, day=date(2026, 11, d), now=AUTUMN) for d in (4, 11, 18)]
    book(store, HARRIERS, "third-2", now=AUTUMN)
    book(store, "Hill Runners", "third-3", now=AUTUMN)
    events = vobject.readOne(feed(store, secret).data.decode()).vevent_list
    assert len(events) == len(numbers)
    own = {kept.uid for kept in kept_bookings(store) if kept.holder == "U12 Kestrels"}
    assert {event.uid.value for event in events} == own
    assert {e.summary.value for e in events} == {"U12 Kestrels: training, Clubhouse third"}
    assert events[0].location.value == "Marsh Lane, Top pitch, Clubhouse third, Marsh Lane, Alderby"
    text = events[0].description.value
    assert "Clubhouse third of Top pitch, 33.3 × 64 m (36 × 70 yd)." in text
    assert "Ends of the pitch: Clubhouse end and Road end." in text


def test_a_calendar_says_who_follows_on_the_pitch_and_when(store: Store, secret: str) -> None:
    """Whoever comes while a session runs is told from when, as its map shows only the start."""
    book(store, now=AUTUMN)
    book(store, HARRIERS, "third-2", start_min=18 * 60 + 30, end_min=20 * 60, now=AUTUMN)
    text = vobject.readOne(feed(store, secret).data.decode()).vevent.description.value
    assert "Later: from 18:30 U14 Harriers on Middle third, towards the road end." in text


@pytest.mark.parametrize("days", CHANGES)
def test_sessions_keep_their_wall_time_across_a_change_of_clocks(
    store: Store, secret: str, days: tuple[date, date]
) -> None:
    """Two readers put 18:00 before and after the change at the instants the booking has."""
    for day in days:
        book(store, day=day, now=AUTUMN)
    data = feed(store, secret).data
    instants = [kept.during.starts_at for kept in kept_bookings(store)]
    assert abs(instants[1] - instants[0] - timedelta(days=2)) == timedelta(hours=1)
    events = vobject.readOne(data.decode()).vevent_list
    assert sorted(event.dtstart.value.astimezone(UTC) for event in events) == instants
    found = recurring_ical_events.of(icalendar.Calendar.from_ical(data)).between(
        days[0], days[1] + timedelta(days=1)
    )
    starts = sorted(event["DTSTART"].dt for event in found)
    assert [start.astimezone(UTC) for start in starts] == instants
    assert [(start.hour, start.minute) for start in starts] == [(18, 0), (18, 0)]


def test_a_withdrawn_session_stays_until_its_day_is_over(store: Store, secret: str) -> None:
    """Cancelled it stays in the feed to midnight, then goes; its number rises."""
    number = book(store, now=AUTUMN)
    withdraw_booking(store, number, 0, AUTUMN)
    end = end_of_day(make_range().ends_at, LONDON)
    event = vobject.readOne(feed(store, secret).data.decode()).vevent
    assert (event.status.value, event.sequence.value) == ("CANCELLED", "1")
    assert b"VEVENT" in feed(store, secret, end - timedelta(seconds=1)).data
    assert b"VEVENT" not in feed(store, secret, end).data


def test_past_sessions_stay_for_a_year(store: Store, secret: str) -> None:
    """What took place stays in the calendar for a year."""
    book(store, now=AUTUMN)
    end = make_range().ends_at
    assert b"VEVENT" in feed(store, secret, end + timedelta(days=364)).data
    assert b"VEVENT" not in feed(store, secret, end + timedelta(days=366)).data


def test_a_move_keeps_the_event_and_counts(store: Store, secret: str) -> None:
    """A moved booking is the same event with the next number and another digest."""
    number = book(store, now=AUTUMN)
    before = feed(store, secret)
    assert before == feed(store, secret)
    move_booking(
        store, number, 0, find_area_id(store, LOW, "half-2"), make_range(), NOW, ALL_THE_SAME
    )
    after = feed(store, secret, NOW)
    old, new = (vobject.readOne(file.data.decode()).vevent for file in (before, after))
    assert (old.uid.value, old.sequence.value) == (new.uid.value, "0")
    assert new.sequence.value == "1"
    assert new.summary.value == "Moved: U12 Kestrels, training, Road half"
    assert after.digest != before.digest


def test_a_pitchs_calendar_says_where_a_session_has_gone(store: Store) -> None:
    """It is off on this ground alone: who looks after it reads where it is, and why."""
    number = book(store)
    secret = create_link(store, LinkWish(LinkKind.PITCH, TOP, "Lee"), NOW).path.rpartition("/")[2]
    there = find_area_id(store, LOW, "half-2")
    move_booking(store, number, 0, there, make_range(), NOW, ALL_THE_SAME, why="Goal broken")
    event = vobject.readOne(feed(store, secret, NOW).data.decode()).vevent
    assert event.status.value == "CANCELLED"
    first, *others = event.description.value.splitlines()
    assert first == "Training on Wednesday 25 November 2026 at 18:00 is off: Goal broken."
    assert "Instead: 18:00–19:15, Road half, Low pitch." in others
    ((entry,),) = (day.entries for day in see_calendar(store, secret, ADDRESS, NOW).days)
    assert entry.state is not None
    assert entry.state.short == "Goal broken. Instead: 18:00–19:15, Road half, Low pitch"


def test_ground_that_is_renamed_counts_as_a_change(store: Store, secret: str) -> None:
    """A booking to come is counted once, with a new stamp; the same files again count nothing."""
    later = AUTUMN + timedelta(days=1)
    book(store, now=AUTUMN)
    load_small_club(store, later)
    assert [kept.sequence for kept in kept_bookings(store)] == [0]
    settings = SETTINGS.replace('address = "Marsh Lane, Alderby"', 'address = "Mill Road, Alderby"')
    load_small_club(store, later, settings=settings)
    event = vobject.readOne(feed(store, secret, later).data.decode()).vevent
    assert event.location.value == "Marsh Lane, Top pitch, Clubhouse third, Mill Road, Alderby"
    assert event.sequence.value == "1"
    assert event.dtstamp.value == event.last_modified.value == later.replace(microsecond=0)


def test_the_picture_link_leads_to_the_drawing_of_the_page(store: Store, secret: str) -> None:
    """The event's picture is the page's very drawing under who, when and where, rendered."""
    number = book(store, now=AUTUMN)
    book(store, HARRIERS, "third-2", now=AUTUMN)
    event = icalendar.Calendar.from_ical(feed(store, secret).data).walk("VEVENT")[0]
    link = re.search(rf"{ADDRESS}/ground/{secret}/map/(\d+)\.png\?change=0", str(event["ATTACH"]))
    assert link is not None
    assert int(link[1]) == number
    page = see_ground(store, secret, A_WEDNESDAY, AUTUMN)
    shown = page.sessions[0]
    caption = Caption(
        page.squad.name,
        shown.times,
        day_in_words(page.day),
        f"{shown.area_name}, {shown.pitch_name}, {shown.venue_name}",
        club_name(store),
    )
    captioned = with_caption(shown.drawing, caption)
    drawn = png_from_svg(captioned, PICTURE_WIDTH_PX, font_files())
    assert draw_area_map(store, secret, number) == drawn


def test_maps_are_for_the_squad_alone(store: Store, secret: str) -> None:
    """The map of another squad's booking, or of none, is not there."""
    other = book(store, HARRIERS, now=AUTUMN)
    for number in (other, 4711):
        with pytest.raises(MissingError, match="no such booking"):
            draw_area_map(store, secret, number)
    with pytest.raises(MissingError, match="secretary"):
        draw_area_map(store, "never-was", other)


def test_the_feed_is_named_after_squad_and_club(store: Store, secret: str) -> None:
    """A calendar app shows whose calendar it is; the file has the squad's name."""
    file = feed(store, secret)
    assert file.name == "u12-kestrels.ics"
    assert b"U12 Kestrels\\, Alderby Rovers" in file.data
    assert TOP.encode() not in file.data


def test_a_calendar_goes_out_when_the_disk_has_it(
    store: Store, secret: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A count that a loss of power takes back would be given again, and that change go unseen."""
    watched, disk = watching_disk(store, monkeypatch)
    build_feed(watched, secret, ADDRESS, AUTUMN)
    assert disk.waits == 1
    export_feed(watched, LinkKind.SQUAD, KESTRELS, AUTUMN)
    assert disk.waits == 2
