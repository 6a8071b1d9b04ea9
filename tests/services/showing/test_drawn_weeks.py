"""What of a week is drawn, how light it is there, and where the clocks change."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING

import pytest

from clubplanner.domain.ground.grounds import Venue
from clubplanner.domain.times.times import range_from_wall
from clubplanner.domain.times.windows import parse_windows
from clubplanner.outputs.charts.weeks.week_values import Look
from clubplanner.services.showing.drawn_weeks import Shown, draw_shown, drawn_ranges
from tests.builders import LONDON, make_pitch

if TYPE_CHECKING:
    from clubplanner.outputs.charts.weeks.week_values import DrawnWeek

MONDAY = date(2026, 11, 23)
WEEK = [MONDAY + timedelta(days=n) for n in range(7)]
TOP = make_pitch("Top pitch", surface="artificial", is_lit=True)
LOW = make_pitch("Low pitch", cuts=("halves",))
HALL = make_pitch("Hall", surface="indoor", is_indoor=True, cuts=())


def _venue(opening: str = "Mon-Fri 17:00-22:00; Sat-Sun 09:00-18:00") -> Venue:
    windows = parse_windows(opening)
    return Venue("lane", "Marsh Lane", "", -1.2, 52.9, windows, 21 * 60 + 30, 10, (TOP, LOW, HALL))


def _shown(
    day: date, start: int, end: int, area: str = "third-1", look: Look = Look.TRAINING
) -> Shown:
    during = range_from_wall(day, start, end, LONDON)
    return Shown(TOP.key, area, during, "U12 Kestrels", look)


def _clocks(venue: Venue, shown: list[Shown], days: list[date] = WEEK) -> dict[date, str]:
    ranges = drawn_ranges(venue, days, shown, LONDON)
    return {
        day: "–".join(f"{at.astimezone(LONDON):%H:%M}" for at in (during.starts_at, during.ends_at))
        for day, during in ranges.items()
    }


def _drawn(shown: list[Shown], days: list[date], venue: Venue | None = None) -> DrawnWeek:
    place = venue or _venue()
    ranges = drawn_ranges(place, days, shown, LONDON)
    drawn = draw_shown(place, place.pitches, ranges, shown, LONDON, None, "A week")
    assert drawn is not None
    return drawn


def test_working_days_show_the_same_hours() -> None:
    """An hour before the first and after the last session of all, in whole hours; no empty days."""
    shown = [_shown(MONDAY, 18 * 60, 19 * 60 + 15), _shown(WEEK[2], 19 * 60, 20 * 60 + 30)]
    assert _clocks(_venue(), shown) == dict.fromkeys(WEEK[:5], "17:00–22:00")
    later = [_shown(MONDAY, 19 * 60, 20 * 60)]
    assert _clocks(_venue(), later) == dict.fromkeys(WEEK[:5], "18:00–21:00")


def test_a_saturday_has_hours_of_its_own() -> None:
    """A match in the morning lengthens no evening, and Sunday with nothing on is left out."""
    shown = [_shown(MONDAY, 18 * 60, 19 * 60), _shown(WEEK[5], 11 * 60, 12 * 60, look=Look.MATCH)]
    clocks = _clocks(_venue(), shown)
    assert clocks[WEEK[5]] == "10:00–13:00"
    assert WEEK[6] not in clocks


def test_an_empty_week_shows_when_the_venue_is_open() -> None:
    """Where nothing is booked at all, all opening hours are drawn, and no day without any."""
    clocks = _clocks(_venue("Mon 17:00-21:00; Sat 09:00-12:00"), [])
    assert clocks == {MONDAY: "17:00–21:00", WEEK[5]: "09:00–12:00"}


def test_what_is_booked_outside_opening_hours_is_drawn_whole() -> None:
    """A hire at night on a day on which the venue is not open has a column of its own length."""
    shown = [_shown(WEEK[6], 6 * 60 + 30, 8 * 60, look=Look.HIRE)]
    assert _clocks(_venue("Mon 17:00-21:00"), shown)[WEEK[6]] == "06:00–08:00"


def test_what_lasts_past_midnight_is_drawn_once() -> None:
    """It belongs to the evening on which it begins; the next day begins when it has ended."""
    night = _shown(WEEK[4], 22 * 60, 25 * 60, look=Look.HIRE)
    early = _shown(WEEK[5], 30, 120, "third-2", Look.HIRE)
    venue = _venue("Fri 17:00-24:00; Sat 00:00-18:00")
    ranges = drawn_ranges(venue, WEEK, [night, early], LONDON)
    assert ranges[WEEK[4]].ends_at == night.during.ends_at
    assert ranges[WEEK[5]].starts_at >= ranges[WEEK[4]].ends_at
    drawn = _drawn([night], WEEK, venue)
    assert sum(len(band.blocks) for band in drawn.pitches[0].bands) == 1


def test_closed_ground_lengthens_no_evening() -> None:
    """A day-long closure is seen on the hours that are drawn anyway."""
    closed = _shown(MONDAY, 0, 24 * 60, "whole", Look.CLOSED)
    shown = [closed, _shown(MONDAY, 18 * 60, 19 * 60)]
    assert _clocks(_venue(), shown)[MONDAY] == "17:00–20:00"
    assert {b.look for b in _drawn(shown, WEEK).pitches[0].bands[0].blocks} == {
        Look.CLOSED,
        Look.TRAINING,
    }


@pytest.mark.parametrize(
    ("day", "hours", "minutes"),
    [
        (date(2027, 3, 28), ["0", "2", "3", "4", "5"], 240),  # 01:00 is skipped
        (date(2026, 10, 25), ["0", "1", "1", "2", "3", "4", "5"], 360),  # 01:00 is there twice
    ],
)
def test_on_the_nights_of_the_clock_change_real_hours_are_drawn(
    day: date, hours: list[str], minutes: int
) -> None:
    """From midnight to five are four hours in spring and six in autumn (UK clock changes)."""
    shown = [_shown(day, 30, 3 * 60 + 30, look=Look.HIRE)]
    venue = _venue(f"{day:%a} 00:00-24:00")
    (during,) = drawn_ranges(venue, [day], shown, LONDON).values()
    assert during.minutes == minutes
    assert [hour for _at, hour in _drawn(shown, [day], venue).evenings[0].hours] == hours


def test_each_pitch_says_how_light_it_is_by_date() -> None:
    """In November unlit ground is dark by the evening, lit ground needs lamps, a hall neither."""
    bands = [p.bands[0] for p in _drawn([_shown(MONDAY, 18 * 60, 21 * 60)], [MONDAY]).pitches]
    top, low, hall = bands
    assert low.dark_from is not None
    assert low.dark_from < datetime(2026, 11, 23, 17, 0, tzinfo=UTC)
    assert low.lamps_from is None
    assert top.lamps_from == low.dark_from
    assert top.dark_from == datetime(2026, 11, 23, 21, 30, tzinfo=UTC)  # when the lights go out
    assert (hall.dark_from, hall.lamps_from) == (None, None)


def test_a_morning_says_until_when_it_is_dark() -> None:
    """On unlit ground alone, and only where something is drawn before dawn."""
    day = MONDAY
    early = _drawn([_shown(day, 6 * 60, 7 * 60)], [day], _venue("Mon 06:00-22:00"))
    top, low, hall = (pitch.bands[0] for pitch in early.pitches)
    assert low.dark_until is not None
    assert datetime(2026, 11, 23, 7, 20, tzinfo=UTC) < low.dark_until
    assert low.dark_until < datetime(2026, 11, 23, 7, 50, tzinfo=UTC)
    assert (top.dark_until, hall.dark_until) == (None, None)
    evening = _drawn([_shown(day, 18 * 60, 19 * 60)], [day])
    assert {pitch.bands[0].dark_until for pitch in evening.pitches} == {None}


def test_in_june_nothing_is_said_of_the_light() -> None:
    """An evening that ends before it is dark has neither dark ground nor lamps."""
    day = date(2027, 6, 21)
    bands = [p.bands[0] for p in _drawn([_shown(day, 18 * 60, 19 * 60)], [day]).pitches]
    assert {(band.dark_from, band.lamps_from) for band in bands} == {(None, None)}


def test_nothing_is_drawn_of_a_venue_without_hours_or_pitches() -> None:
    """There is no empty sheet: the caller is told that there is nothing to draw."""
    venue = _venue("")
    assert draw_shown(venue, venue.pitches, {}, [], LONDON, None, "x") is None
    ranges = drawn_ranges(_venue(), WEEK, [], LONDON)
    assert draw_shown(venue, (), ranges, [], LONDON, None, "x") is None
