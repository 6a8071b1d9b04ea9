"""Tests of the evening: who is where at the chosen time, and the whole day as a table."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING

import pytest

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.booked.closures import Condition
from clubplanner.errors import MissingError, NoClubError
from clubplanner.inputs.club_files.club_file import ClubFile
from clubplanner.services.evening.bookings import move_booking, withdraw_booking
from clubplanner.services.evening.closures.closing import ClosureWish, close_ground
from clubplanner.services.evening.evening import booking_choices, see_evening
from clubplanner.services.places.ruling import Overruling
from clubplanner.services.setup.loading import load_files
from tests.builders import A_WEDNESDAY, NOW, make_range
from tests.outputs.example_drawings import read_drawing
from tests.small_club import (
    HALL,
    HARRIERS,
    KESTRELS,
    LOW,
    SETTINGS,
    TOP,
    book,
    find_area_id,
    load_small_club,
)

if TYPE_CHECKING:
    from clubplanner.services.evening.evening import EveningPage, EveningRow
    from clubplanner.store.engine import Store

ALL_THE_SAME = Overruling("They asked for it", None)
CLOCKS_GO_BACK = date(2026, 10, 25)


@pytest.fixture
def store(small: Store) -> Store:
    """Give the small club without bookings."""
    return small


def look(store: Store, at: str | None = None, day: date = A_WEDNESDAY) -> EveningPage:
    """Look at the evening at a time such as "18:30"."""
    minute = None if at is None else int(at[:2]) * 60 + int(at[3:])
    return see_evening(store, None, day, minute)


def drawn(page: EveningPage, pitch: str) -> list[str]:
    """Return the words on a pitch's plan."""
    (now,) = [now for now in page.pitches if now.name == pitch]
    return read_drawing(now.drawing).words()


def told(row: EveningRow) -> str:
    """Return what the table says of a session that is not where it was to be."""
    return "" if row.state is None else f"{row.state.label}: {row.state.short}"


def test_an_empty_day_shows_six_o_clock_and_everything_free(store: Store) -> None:
    """With nothing booked the usual time is shown, and each lit pitch is free as a whole."""
    page = look(store)
    assert (page.at, page.moments, page.rows) == ("18:00", (), ())
    assert [now.free for now in page.pitches] == ["the whole pitch", "", "the whole pitch"]
    assert page.pitches[1].why_none == "Low pitch has no lights; it is too dark from 16:07."
    assert page.day_words == "Wednesday 25 November 2026"
    assert [now.about for now in page.pitches] == [
        "Artificial, 100 × 64 m",
        "Grass, 60 × 40 m",
        "Indoor, 30 × 20 m",
    ]
    assert page.pitches[0].light.startswith("Floodlights until 21:30.")
    assert page.pitches[1].light.startswith("No floodlights: light enough until 16:0")
    assert page.pitches[2].light == "Lit all evening."


def test_the_busiest_moment_is_shown_unless_another_is_chosen(store: Store) -> None:
    """The plans show the moment with most bookings; the table has the whole day, by start."""
    book(store, KESTRELS, "third-1", start_min=17 * 60, end_min=18 * 60)
    book(store, HARRIERS, "third-2", start_min=18 * 60, end_min=19 * 60)
    book(store, "Hill Runners", "third-3", start_min=18 * 60, purpose=Purpose.HIRE, note="Cones")
    page = look(store)
    assert page.at == "18:00"
    assert page.moments == ("17:00", "18:00")
    assert [(row.mark, row.holder, row.is_shown) for row in page.rows] == [
        ("1", "U12 Kestrels", False),
        ("2", "U14 Harriers", True),
        ("3", "Hill Runners", True),
    ]
    assert page.rows[2].times == "18:00–19:15"
    assert page.rows[2].place == "Road third, Top pitch"
    assert (page.rows[2].purpose, page.rows[2].note) == ("hire", "Cones")
    words = drawn(page, "Top pitch")
    assert {"2", "3"} <= set(words)
    assert "Hill Runners" in " ".join(words)
    assert "1" not in words
    assert page.pitches[0].free == "Clubhouse third"
    early = look(store, "17:30")
    assert "1 U12 Kestrels" in " ".join(drawn(early, "Top pitch"))


@pytest.mark.parametrize(
    ("at", "is_there"), [("17:59", False), ("18:00", True), ("19:14", True), ("19:15", False)]
)
def test_a_booking_is_there_from_its_start_up_to_its_end(
    store: Store, at: str, is_there: bool
) -> None:
    """The first minute belongs to a booking, the minute it ends does not."""
    book(store)
    page = look(store, at)
    assert page.rows[0].is_shown is is_there
    assert ("U12 Kestrels" in " ".join(drawn(page, "Top pitch"))) is is_there
    assert page.at == at


def test_what_is_free_shares_no_ground_with_what_is_held(store: Store) -> None:
    """Halves that a held third cuts into are not free; the other side is."""
    book(store, KESTRELS, "third-1")
    book(store, HARRIERS, "whole", pitch_key=HALL)
    page = look(store)
    assert page.pitches[0].free == "Road half, Middle third, Road third"
    assert (page.pitches[2].free, page.pitches[2].why_none) == ("", "")
    assert page.rows[1].place == "Whole of Hall"


def test_ground_that_is_left_over_is_no_part(store: Store) -> None:
    """Free ground that the plan draws between two squads is told as less than a part."""
    book(store, KESTRELS, "half-1")
    book(store, HARRIERS, "third-3")
    now = look(store, "18:00").pitches[0]
    assert now.free == ""
    assert now.why_none == "What is free between them is less than any part of the pitch."


def test_nothing_is_free_while_the_venue_is_closed(store: Store) -> None:
    """Free means that no rule stands in the way; which one does is said."""
    page = look(store, "03:00")
    assert [now.free for now in page.pitches] == ["", "", ""]
    assert page.pitches[2].why_none == "Marsh Lane is open 17:00–22:00 on a Wednesday."


def test_withdrawn_bookings_hold_nothing_and_are_told_beside_the_table(store: Store) -> None:
    """Ground given back is free; who rings is told that it is off, and why."""
    number = book(store)
    withdraw_booking(store, number, 0, NOW, why="the coach is ill")
    page = look(store, "18:00")
    assert page.rows == ()
    assert page.pitches[0].free == "the whole pitch"
    (off,) = page.missed
    assert (off.times, off.holder, off.place) == (
        "18:00–19:15",
        "U12 Kestrels",
        "Clubhouse third, Top pitch",
    )
    assert (off.state.label, off.state.short) == ("Off", "The coach is ill")


def test_what_is_elsewhere_is_told_where_it_was_to_be(store: Store) -> None:
    """On the day it left, not on the one it went to, nor of a day as it stood."""
    number = book(store)
    later = A_WEDNESDAY + timedelta(days=7)
    area = find_area_id(store, TOP, "third-2")
    move_booking(store, number, 0, area, make_range(later), NOW)
    (moved,) = look(store).missed
    assert (moved.state.label, moved.place) == ("Off", "Clubhouse third, Top pitch")
    assert "Instead: Wed 2 Dec, 18:00–19:15, Middle third, Top pitch" in moved.state.short
    assert not look(store, day=later).missed
    assert not see_evening(store, None, A_WEDNESDAY, None, NOW).missed


def test_what_was_moved_within_the_evening_says_where_it_was_to_be(store: Store) -> None:
    """Another part, another time: the row tells from where; what stands as planned says nothing."""
    area, time = book(store), book(store, area_key="third-3")
    kept = book(store, HARRIERS, "half-1", start_min=1260, end_min=1320)
    first, later = find_area_id(store, TOP, "third-1"), make_range(A_WEDNESDAY, 1170, 1245)
    move_booking(
        store, area, 0, find_area_id(store, TOP, "third-2"), make_range(), NOW, ALL_THE_SAME
    )
    move_booking(store, time, 0, first, later, NOW, ALL_THE_SAME, why="two of them play each other")
    assert {row.number: told(row) for row in look(store).rows} == {
        area: "Moved: was Clubhouse third, Top pitch",
        time: "Moved: was 18:00–19:15, Road third, Top pitch (two of them play each other)",
        kept: "",
    }
    assert not look(store).missed


def test_what_came_from_another_day_says_so_and_a_past_evening_does_not(store: Store) -> None:
    """Whoever sees it for the first time learns that it is no mistake; as it stood, nobody knew."""
    number = book(store)
    later = A_WEDNESDAY + timedelta(days=7)
    move_booking(store, number, 0, find_area_id(store, TOP, "third-1"), make_range(later), NOW)
    (row,) = look(store, day=later).rows
    assert told(row) == "Moved: was Wed 25 Nov, 18:00–19:15"
    (row,) = see_evening(store, None, later, None, NOW + timedelta(minutes=1)).rows
    assert told(row) == ""


def test_a_condition_stands_beside_the_plan_and_not_at_every_session(store: Store) -> None:
    """It is told once for its pitch."""
    book(store)
    area = find_area_id(store, TOP, "whole")
    wish = ClosureWish(area, make_range(), Condition.NO_STUDS, "Frozen edges")
    close_ground(store, wish, None, NOW)
    page = look(store)
    assert page.pitches[0].conditions
    assert told(page.rows[0]) == ""


def test_a_closure_is_drawn_as_closed(store: Store) -> None:
    """Closed ground says why on the plan."""
    book(store, "Frost", "whole", pitch_key=LOW, purpose=Purpose.CLOSED)
    assert "Closed: Frost" in drawn(look(store), "Low pitch")


def test_a_booking_over_midnight_is_on_both_days(store: Store) -> None:
    """From the evening before it is there at midnight of the next day."""
    book(store, "Night Runners", "half-1", start_min=23 * 60, end_min=25 * 60)
    first, second = look(store), look(store, day=date(2026, 11, 26))
    assert first.at == "23:00"
    assert second.at == "00:00"
    assert second.moments == ()
    assert second.rows[0].times == "23:00–01:00"
    assert second.rows[0].is_shown


def test_the_day_the_clocks_go_back_is_whole(empty_store: Store) -> None:
    """All 25 hours of that day belong to it, and times are those on the wall."""
    now = NOW.replace(month=10, day=1)
    store = load_small_club(empty_store, now)
    book(store, "Early Birds", "half-1", day=CLOCKS_GO_BACK, start_min=30, end_min=120, now=now)
    book(store, "Late Birds", "half-2", day=CLOCKS_GO_BACK, start_min=1380, end_min=1440, now=now)
    page = look(store, "23:30", CLOCKS_GO_BACK)
    assert [(row.times, row.is_shown) for row in page.rows] == [
        ("00:30–02:00", False),
        ("23:00–24:00", True),
    ]


def test_only_the_chosen_venue_is_shown(store: Store) -> None:
    """Each venue has its own evening; one that is not there is missing."""
    second = SETTINGS + (
        '\n[[venues]]\nname = "Hill Road"\nlon = -1.2\nlat = 52.9\nopening = "Mon 17:00-18:00"\n'
    )
    load_files(store, [ClubFile("club.toml", second.encode())], NOW)
    book(store)
    page = see_evening(store, "hill-road", A_WEDNESDAY, None)
    assert (page.venue.words, page.pitches, page.rows) == ("Hill Road", (), ())
    assert [venue.value for venue in page.venues] == ["marsh-lane", "hill-road"]
    with pytest.raises(MissingError, match="no such venue"):
        see_evening(store, "nowhere", A_WEDNESDAY, None)


def test_without_a_club_there_is_no_evening(empty_store: Store) -> None:
    """An empty database is told to load files first."""
    with pytest.raises(NoClubError):
        see_evening(empty_store, None, A_WEDNESDAY, None)


def test_the_form_offers_every_area_under_its_pitch(store: Store) -> None:
    """Areas come by pitch, with the venue's name where all venues are offered."""
    here, everywhere = booking_choices(store, "marsh-lane"), booking_choices(store, None)
    assert [group.pitch_name for group in here.groups] == ["Top pitch", "Low pitch", "Hall"]
    assert everywhere.groups[0].pitch_name == "Marsh Lane, Top pitch"
    assert [area.words for area in here.groups[0].areas][:3] == [
        "Whole of Top pitch",
        "Clubhouse half",
        "Road half",
    ]
    assert [squad.words for squad in here.squads] == ["U12 Kestrels", "U14 Harriers"]
    assert [purpose.value for purpose in here.purposes] == [p.value for p in Purpose]
    assert TOP not in {group.pitch_name for group in here.groups}


NOW_AT_HALF_PAST_SEVEN = datetime(2026, 11, 25, 19, 30, 27, 654_321, tzinfo=UTC)


@pytest.mark.parametrize(
    ("wall", "shown"),
    [
        ("12:00", "18:20"),  # nobody is there yet: the busiest moment to come
        ("16:59", "18:20"),
        ("17:00", "17:00"),
        ("18:19", "18:19"),
        ("19:30", "19:30"),
        ("19:33", "19:33"),
        ("22:45", "22:45"),  # all have gone
    ],
)
def test_once_the_day_is_under_way_the_present_is_shown(
    store: Store, wall: str, shown: str
) -> None:
    """Who looks at half past seven wants to see who is there, not who was at the busiest time."""
    book(store, KESTRELS, "third-1", start_min=17 * 60, end_min=18 * 60)
    book(store, HARRIERS, "third-2", start_min=18 * 60 + 20, end_min=19 * 60 + 15)
    book(store, "Hill Runners", "third-3", start_min=18 * 60, purpose=Purpose.HIRE)
    book(store, "Frost", "whole", pitch_key=LOW, start_min=0, end_min=1440, purpose=Purpose.CLOSED)
    hour, minute = map(int, wall.split(":"))
    now = NOW_AT_HALF_PAST_SEVEN.replace(hour=hour, minute=minute)
    assert see_evening(store, None, A_WEDNESDAY, None, now=now).at == shown
    assert see_evening(store, None, A_WEDNESDAY, 17 * 60 + 5, now=now).at == "17:05"
    other_day = now - timedelta(days=1)
    assert see_evening(store, None, A_WEDNESDAY, None, now=other_day).at == "18:20"
    as_it_stood = see_evening(store, None, A_WEDNESDAY, None, now, now=now)
    assert as_it_stood.at == "18:20"


def test_an_empty_evening_shows_no_time_that_is_past(store: Store) -> None:
    """The usual time until it has come, the present from then on, in summer on the club's clock."""
    at_half_past_seven = see_evening(store, None, A_WEDNESDAY, None, now=NOW_AT_HALF_PAST_SEVEN)
    assert at_half_past_seven.at == "19:30"
    noon = NOW_AT_HALF_PAST_SEVEN.replace(hour=12)
    assert see_evening(store, None, A_WEDNESDAY, None, now=noon).at == "18:00"
    summer = datetime(2026, 7, 8, 18, 30, 59, 999_999, tzinfo=UTC)
    assert see_evening(store, None, date(2026, 7, 8), None, now=summer).at == "19:30"
