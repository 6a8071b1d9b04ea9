"""What makes a booking the same event in every feed and mail, and what makes it another."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

import pytest

from clubplanner.domain.times.times import range_from_wall
from clubplanner.language import in_running_text
from clubplanner.services.calendars.feed_events import EventMaker, ground_in_words
from tests.builders import (
    A_WEDNESDAY,
    LEVEL_FRAME,
    LONDON,
    make_booking,
    make_pitch,
    make_range,
    make_venue,
)

if TYPE_CHECKING:
    from clubplanner.outputs.calendars.feed import FeedEvent

PAGE = "https://pitches.example.org/s/secret"
CHANGED = datetime(2026, 11, 2, 8, 30, 15, tzinfo=UTC)


def event_of(prefix: str = "", pitch: dict[str, Any] | None = None, **changes: Any) -> FeedEvent:
    """Return the event of a booking of a half, with changes to the pitch and the booking."""
    built = make_pitch(**(pitch or {}))
    venue = make_venue(pitches=(built,))
    maker = EventMaker((venue,), LONDON, PAGE, prefix)
    area = built.area(changes.pop("area_key", "half-1"))
    return maker.event_of(make_booking(area=area, **changes))


def test_uid_sequence_and_stamp_are_the_bookings_own() -> None:
    """A program finds the event again by its uid and believes the higher sequence."""
    event = event_of(uid="booking-7@club.example", sequence=3, changed_at=CHANGED)
    assert event.uid == "booking-7@club.example"
    assert event.sequence == 3
    assert event.changed_at == CHANGED


@pytest.mark.parametrize(
    "changes",
    [
        {"area_key": "third-2"},
        {"during": make_range(start_min=1000, end_min=1100)},
        {"note": "No studs"},
        {"is_withdrawn": True},
        {"sequence": 9},
    ],
)
def test_whatever_changes_the_uid_stays(changes: dict[str, Any]) -> None:
    """Neither ground nor time nor words nor a withdrawal makes another event of a booking."""
    assert event_of(**changes).uid == event_of().uid


def test_in_a_pitchs_calendar_uids_bear_the_pitch() -> None:
    """The prefix stands before the booking's uid, so that the two are told apart."""
    assert event_of("top-pitch.").uid == f"top-pitch.{event_of().uid}"
    booking = make_booking()
    assert EventMaker((make_venue(),), LONDON, PAGE).event_of(booking).uid == booking.uid


@pytest.mark.parametrize("is_withdrawn", [True, False])
def test_a_withdrawn_booking_is_a_withdrawn_event(is_withdrawn: bool) -> None:
    """The status goes from the booking into the event."""
    assert event_of(is_withdrawn=is_withdrawn).is_withdrawn is is_withdrawn


def test_both_ends_are_those_of_the_booking() -> None:
    """Start and end are not mixed up."""
    during = make_range()
    event = event_of(during=during)
    assert (event.starts_at, event.ends_at) == (during.starts_at, during.ends_at)


def test_the_picture_has_another_address_after_each_change() -> None:
    """Programs keep pictures by address: an old picture must not stand beside new ground."""
    assert event_of(number=12, sequence=3).picture_url == f"{PAGE}/map/12.png?change=3"


def test_the_page_opens_at_the_local_date() -> None:
    """A session after midnight in London is on the next date there, not on that of UTC."""
    during = make_range(date(2026, 6, 5), start_min=15, end_min=75)
    assert during.starts_at.date() == date(2026, 6, 4)
    assert event_of(during=during).url == f"{PAGE}?date=2026-06-05"


def test_the_place_names_each_part_once() -> None:
    """Venue, pitch, part and address; once where two are the same, not where there is none."""

    def place(address: str) -> str:
        maker = EventMaker((make_venue("Marsh Lane", address=address),), LONDON, PAGE)
        return maker.event_of(make_booking()).place

    ground = "Marsh Lane, Top pitch, Start half"
    assert place("Mill Road 3, Alderby") == f"{ground}, Mill Road 3, Alderby"
    assert place("Marsh Lane") == ground
    assert place("") == ground


@pytest.mark.parametrize(
    ("entrance", "edge"),
    [((0.0, 30.0), "start"), ((99.0, 31.0), "far"), ((50.0, 1.0), "right"), ((50.0, 60.0), "left")],
)
def test_the_place_says_where_the_way_in_is(entrance: tuple[float, float], edge: str) -> None:
    """By the name of the nearest edge; nothing where nobody drew it."""
    names = make_pitch().edges
    place = event_of(pitch={"entrance": entrance}).place
    assert place.endswith(f", way in: {in_running_text(getattr(names, edge))}")
    assert "way in" not in event_of().place


def test_a_holder_from_right_to_left_is_kept_apart_in_the_title() -> None:
    """Purpose and part stay to the right of a name in Hebrew; areas are kept without signs."""
    event = event_of(holder="הפועל")
    assert event.title.startswith("\u2068הפועל\u2069: ")
    pitch = make_pitch(edge_names={"start": "צפון"})
    assert "\u2068" not in "".join(area.name for area in pitch.areas)


def test_the_way_is_told_where_the_way_in_is_known() -> None:
    """Past which ground and how far, by the ground alone: who is next door changes no event."""
    pitch = make_pitch(entrance=(0.0, 0.0))
    own, other = (make_booking(n, area=pitch.area(f"third-{n}")) for n in (3, 1))
    venue = make_venue(pitches=(pitch,))
    alone, beside = (
        EventMaker((venue,), LONDON, PAGE, followers=there).event_of(own)
        for there in ({}, {own.number: [other]})
    )
    (way,) = [line for line in alone.lines if line.startswith("From the way in")]
    assert way.endswith(
        "go right along the right side, past Start third, then Middle third; yours begins "
        "67 m (73 yd) on, at the line between thirds."
    )
    assert alone == beside
    assert not any("way in" in line for line in event_of(area_key="third-3").lines)


def test_a_pin_stands_in_the_middle_of_the_area() -> None:
    """Where the pitch is mapped the area's own middle is shown, else the venue's."""
    unmapped = event_of()
    assert (unmapped.lon, unmapped.lat) == (-1.2, 52.9)
    halves = [event_of(pitch={"frame": LEVEL_FRAME}, area_key=f"half-{n}") for n in (1, 2)]
    for event, x in zip(halves, (25.0, 75.0), strict=True):
        assert event.lon is not None
        assert event.lat is not None
        assert LEVEL_FRAME.local_from_lonlat(event.lon, event.lat) == pytest.approx((x, 30.0))


def test_a_session_that_ends_in_the_dark_says_so() -> None:
    """On ground without lights, after dusk; not with lights, and not by day."""

    def warns(**pitch: Any) -> bool:
        return any("No floodlights" in line for line in event_of(pitch=pitch).lines)

    assert warns(is_lit=False)
    assert not warns(is_lit=True)
    summer = make_range(date(2026, 6, 10))
    assert not any("No floodlights" in line for line in event_of(during=summer).lines)


def test_a_session_that_begins_before_dawn_says_so() -> None:
    """On ground without lights, on the clock of the club; not with lights."""
    early = make_range(A_WEDNESDAY, start_min=420, end_min=480)
    told = [line for line in event_of(during=early).lines if "dark" in line]
    assert told == ["No floodlights, and it is dark until 07:46: do not begin before."]
    lit = event_of(during=early, pitch={"is_lit": True})
    assert not any("dark" in line for line in lit.lines)


def test_lines_tell_the_part_its_size_ends_and_surface() -> None:
    """In full where there is light; the whole of a pitch is not named twice."""
    ends = "Ends of the pitch: Start end and Far end."
    surface = "Surface: grass. Bring footwear for it; the venue's rules come first."
    size = "50 × 60 m (55 × 66 yd)"
    lit = {"is_lit": True}
    assert event_of(pitch=lit).lines == (f"Start half of Top pitch, {size}.", ends, surface)
    whole = ("Whole of Top pitch, 100 × 60 m (109 × 66 yd).", ends, surface)
    assert event_of(pitch=lit, area_key="whole").lines == whole
    assert event_of(area_key="third-1").title == "U12 Kestrels: training, Start third"


def test_dark_is_told_on_the_clock_of_the_club() -> None:
    """For its own date, which a late session west of London does not share with UTC."""
    summer = make_range(date(2026, 6, 10), start_min=1290, end_min=1410)
    (told,) = [line for line in event_of(during=summer).lines if "dark" in line]
    found = re.fullmatch(
        r"No floodlights, and it is dark from 21:\d\d: be off the ground by then\.", told
    )
    assert found, told
    zone = ZoneInfo("America/Anchorage")
    venue = make_venue(lon=-149.9, lat=61.2)
    late = range_from_wall(date(2026, 10, 30), 1230, 1290, zone)
    assert late.starts_at.date() == date(2026, 10, 31)
    lines = EventMaker((venue,), zone, PAGE).event_of(make_booking(during=late)).lines
    assert any("dark from 18:02" in line for line in lines), "a day is three minutes there"


def test_who_follows_is_told_on_the_clock_of_the_club() -> None:
    """Not on that of the machine: in June London is an hour ahead of UTC."""
    first = make_booking(during=make_range(date(2026, 6, 10), start_min=1080, end_min=1140))
    follows = make_booking(
        number=2,
        uid="booking-2@club.example",
        squad_key="owls",
        holder="U9 Owls",
        area_key="half-2",
        during=make_range(date(2026, 6, 10), start_min=1110, end_min=1200),
    )
    maker = EventMaker((make_venue(),), LONDON, PAGE, followers={first.number: (follows,)})
    (told,) = [line for line in maker.event_of(first).lines if "U9 Owls" in line]
    assert "18:30" in told


def test_polar_night_is_told_as_dark_all_day() -> None:
    """Where the sun stays down there is no time to name (Longyearbyen, 78.2° N, in December)."""
    venue = make_venue(lon=15.6, lat=78.2)
    noon = make_range(date(2026, 12, 15), start_min=720, end_min=780)
    lines = EventMaker((venue,), LONDON, PAGE).event_of(make_booking(during=noon)).lines
    assert "No floodlights, and it is dark all day: be off the ground by then." in lines


def test_a_note_is_the_last_line_and_a_blank_one_is_none() -> None:
    """What the secretary adds is read in the calendar."""
    noted = event_of(note="Bring the key").lines
    assert noted[-1] == "Bring the key"
    assert noted[:-1] == event_of(note="").lines


def test_secrets_are_not_shown_in_a_trace() -> None:
    """The page's address opens the squad's page to whoever reads it."""
    assert "secret" not in repr(EventMaker((), LONDON, PAGE))


def test_ground_is_named_from_the_part_to_the_venue() -> None:
    """The whole of a pitch needs no name of its own, and no name is said twice."""
    venue = make_venue(pitches=(make_pitch("Top pitch"),))
    part = venue.pitches[0].area("half-1")
    half, whole = make_booking(area=part), make_booking(area_key="whole")
    assert ground_in_words((venue,), half) == f"{part.name}, Top pitch, Marsh Lane"
    assert ground_in_words((venue,), whole) == "Top pitch, Marsh Lane"
    alone = replace(venue, name="Top pitch")
    assert ground_in_words((alone,), whole) == "Top pitch"


def test_an_event_is_the_same_however_often_it_is_made() -> None:
    """Nothing in it comes from the clock."""
    assert event_of(note="x") == event_of(note="x")
    assert event_of().ends_at - event_of().starts_at == timedelta(minutes=75)


def test_a_venue_without_a_place_gives_events_without_one() -> None:
    """The address stands alone until somebody has said where it lies."""
    built = make_pitch()
    venue = make_venue(lon=None, lat=None, pitches=(built,))
    event = EventMaker((venue,), LONDON, PAGE).event_of(make_booking(area=built.area("half-1")))
    assert (event.lon, event.lat) == (None, None)
    assert "Marsh Lane" in event.place
