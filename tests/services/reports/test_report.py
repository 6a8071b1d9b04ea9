"""A report adds up: by hand for single sessions, and table against table for drawn ones."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.booked.light_calendar import lamp_spans, list_evenings
from clubplanner.domain.rules.times.light import usable_from, usable_until
from clubplanner.domain.times.times import TimeRange, each_date, instant_from_wall
from clubplanner.domain.times.windows import join_windows
from clubplanner.errors import RefusedError
from clubplanner.services.reports.report import LONGEST_DAYS, make_report
from clubplanner.services.reports.sums.report_values import Amount, Who, sum_amounts
from clubplanner.services.reports.tables.report_sums import TimeSum
from clubplanner.services.rows.snapshot import load_bookings, load_venues
from clubplanner.services.season.light.page import set_lamp_cost
from tests.builders import LONDON, NOW
from tests.drawn_bookings import DAYS, FIRST, Drawn, drawn_bookings, put_drawn
from tests.small_club import HALL, HARRIERS, KESTRELS, LOW, SETTINGS, TOP, book, load_small_club

if TYPE_CHECKING:
    from clubplanner.domain.booked.bookings import Booking
    from clubplanner.domain.ground.grounds import Venue
    from clubplanner.services.reports.sums.report_values import PitchTime, Report
    from clubplanner.store.engine import Store

HOUR = 3600
WHOLE = 100 * 64 * 1200
THIRD = WHOLE // 3
"""The pitch of 100 × 64 m and a third of it, in twelfths of square decimetres."""
SPRING_FORWARD, FALL_BACK = date(2027, 3, 28), date(2026, 10, 25)


def of_pitch(report: Report, key: str) -> PitchTime:
    """Return the time of a pitch in a report of one month."""
    return next(time for time in report.times if time.place.pitch_key == key)


def test_a_session_counts_with_its_length_and_its_ground(small: Store) -> None:
    """75 minutes on a third of 100 × 64 m are 1.25 hours of 2,133.33 m²."""
    book(small)
    report = make_report(small, date(2026, 11, 1), date(2026, 11, 30), NOW)
    assert report.total == Amount(4500, 4500 * THIRD, 1)
    (use,) = report.uses
    (there,) = report.on_ground
    assert (use.user.kind, use.user.key, there.place.pitch_key) == (Who.SQUAD, KESTRELS, TOP)
    assert use.amount == there.amount
    assert there.place.patches == WHOLE
    assert not use.is_past


def test_what_is_under_way_is_cut_at_the_present(small: Store) -> None:
    """Half an hour after it began, a session has had half an hour and has the rest to come."""
    book(small)
    now = instant_from_wall(date(2026, 11, 25), 18 * 60 + 30, LONDON)
    report = make_report(small, date(2026, 11, 1), date(2026, 11, 30), now)
    assert [(u.is_past, u.amount.seconds, u.amount.sessions) for u in report.uses] == [
        (True, 1800, 1),
        (False, 2700, 0),
    ]


def test_a_session_over_midnight_counts_in_both_months(small: Store) -> None:
    """From 22:30 on the last of November to 1:00, ninety minutes are November's, sixty December's.

    It is a single session, of the month in which it begins.
    """
    book(small, "Night run", day=date(2026, 11, 30), start_min=22 * 60 + 30, end_min=25 * 60,
         purpose=Purpose.HIRE)  # fmt: skip
    report = make_report(small, date(2026, 11, 1), date(2026, 12, 31), NOW)
    assert [(u.month.month, u.amount.seconds, u.amount.sessions) for u in report.uses] == [
        (11, 5400, 1),
        (12, 3600, 0),
    ]
    assert {u.user.kind for u in report.uses} == {Who.HIRER}
    only_december = make_report(small, date(2026, 12, 1), date(2026, 12, 1), NOW)
    assert only_december.total == Amount(3600, 3600 * THIRD, 0)


@pytest.mark.parametrize(("night", "hours"), [(SPRING_FORWARD, 3), (FALL_BACK, 5)])
def test_the_nights_on_which_clocks_change_have_real_hours(
    small: Store, night: date, hours: int
) -> None:
    """From 0:00 to 4:00 by the clock there are three hours in spring and five in autumn."""
    book(small, "Night run", day=night, start_min=0, end_min=240, purpose=Purpose.HIRE)
    assert make_report(small, night, night, NOW).total.seconds == hours * HOUR
    month = make_report(small, night.replace(day=1), night.replace(day=31), NOW)
    assert month.total.seconds == hours * HOUR


def test_open_hours_are_those_of_the_venue_and_its_light(small: Store) -> None:
    """On a Wednesday in November: 17:00 to 22:00 in the hall, to 21:30 under lamps that go out.

    The pitch without lights is dark before it opens.
    """
    day = date(2026, 11, 25)
    report = make_report(small, day, day, NOW)
    assert [of_pitch(report, key).open_seconds / HOUR for key in (HALL, TOP, LOW)] == [5, 4.5, 0]
    assert [of_pitch(report, key).empty_seconds / HOUR for key in (HALL, TOP, LOW)] == [5, 4.5, 0]


def test_a_pitch_without_lights_opens_at_dawn(empty_store: Store) -> None:
    """Open from 6:00 it is of use from 7:36, ten minutes before sunrise, until after sunset."""
    store = load_small_club(
        empty_store, settings=SETTINGS.replace("Mon-Fri 17:00-22:00", "Mon-Fri 06:00-12:00")
    )
    day = date(2026, 11, 25)
    report = make_report(store, day, day, NOW)
    assert [of_pitch(report, key).open_seconds / 60 for key in (HALL, LOW)] == [360, 264]


def test_unused_is_what_is_open_and_nobody_has(small: Store) -> None:
    """A third for 75 minutes from 18:00 leaves 3.25 of 4.5 hours empty, and two thirds beside."""
    book(small)
    day = date(2026, 11, 25)
    top = of_pitch(make_report(small, day, day, NOW), TOP)
    assert top.empty_seconds == 3.25 * HOUR
    assert top.held_ground == 4500 * THIRD
    assert top.free_ground == WHOLE * 4.5 * HOUR - 4500 * THIRD
    assert top.beyond_ground == 0


def test_closed_ground_is_not_unused(small: Store) -> None:
    """A third that is closed all evening leaves two thirds, and no hour with nobody on it."""
    book(small, "waterlogged", start_min=0, end_min=24 * 60, purpose=Purpose.CLOSED)
    day = date(2026, 11, 25)
    report = make_report(small, day, day, NOW)
    top = of_pitch(report, TOP)
    assert top.closed_ground == 4.5 * HOUR * THIRD
    assert (top.empty_seconds, top.held_ground, top.lamp_seconds) == (0, 0, 0)
    assert top.free_ground == 4.5 * HOUR * (WHOLE - THIRD)
    assert report.uses == ()


def test_what_is_outside_the_open_hours_is_told_apart(small: Store) -> None:
    """From 16:30 to 17:30 half an hour is before the venue opens."""
    book(small, start_min=16 * 60 + 30, end_min=17 * 60 + 30)
    day = date(2026, 11, 25)
    top = of_pitch(make_report(small, day, day, NOW), TOP)
    assert top.held_ground == top.beyond_ground == 1800 * THIRD


def test_floodlights_cost_what_an_hour_costs(small: Store) -> None:
    """Two squads side by side burn one pitch's lamps once; 75 minutes at 7.30 are 9.13 (9.125)."""
    book(small)
    book(small, HARRIERS, "third-2", end_min=19 * 60)
    set_lamp_cost(small, "marsh-lane", "7.30")
    (cost,) = make_report(small, date(2026, 11, 1), date(2026, 11, 30), NOW).lamps
    assert (cost.seconds, cost.units, cost.currency) == (4500, 913, "")


def test_what_floodlights_cost_is_not_made_up(small: Store) -> None:
    """As long as nobody said what an hour costs, there are hours without a cost."""
    book(small)
    (cost,) = make_report(small, date(2026, 11, 1), date(2026, 11, 30), NOW).lamps
    assert (cost.seconds, cost.units) == (4500, None)


def test_asked_is_by_dates_of_training(small: Store) -> None:
    """One of 75 minutes a week on the twenty days of December before the break is 25/7 hours."""
    report = make_report(small, date(2026, 12, 1), date(2026, 12, 31), NOW)
    asked = {one.user.key: (one.asked_seconds, one.had_seconds) for one in report.asked}
    assert asked == {
        KESTRELS: (round(20 / 7 * 75 * 60), 0),
        HARRIERS: (round(20 / 7 * 2 * 60 * 60), 0),
    }


@pytest.mark.parametrize("days", [-1, LONGEST_DAYS])
def test_dates_that_make_no_report_are_refused(small: Store, days: int) -> None:
    """Dates that run backwards, or more of them than a report is about."""
    with pytest.raises(RefusedError):
        make_report(small, FIRST, FIRST + timedelta(days=days), NOW)


SPANS = st.tuples(st.integers(0, DAYS), st.integers(0, 40)).map(
    lambda drawn: (FIRST + timedelta(days=drawn[0]), FIRST + timedelta(days=sum(drawn)))
)
NOVEMBER = datetime(2026, 11, 18, 19, 30, 7, tzinfo=UTC)


@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(drawn=drawn_bookings(), days=SPANS)
def test_every_figure_is_that_of_a_plain_count(
    small: Store, drawn: list[Drawn], days: tuple[date, date]
) -> None:
    """Minute by minute or session by session, whatever was drawn, each figure is the same."""
    put_drawn(small, drawn)
    report = make_report(small, *days, NOVEMBER)
    whole = TimeRange(
        instant_from_wall(days[0], 0, LONDON), instant_from_wall(days[1], 1440, LONDON)
    )
    with small.read() as session:
        early = TimeRange(whole.starts_at - timedelta(days=2), whole.ends_at)
        bookings = load_bookings(session, early)
        venues = load_venues(session)
    assert report.total == sum_amounts(
        _amount(one, whole, venues) for one in bookings if one.purpose is not Purpose.CLOSED
    )
    for place in {time.place for time in report.times}:
        times = [time for time in report.times if time.place == place]
        own = [one for one in bookings if one.pitch_key == place.pitch_key]
        hours = sum((TimeSum.of(time) for time in times), TimeSum())
        assert (
            hours.held_ground + hours.beyond_ground
            == sum_amounts(use.amount for use in report.on_ground if use.place == place).ground
        )
        assert hours.open_seconds == sum(
            t.minutes * 60 for t in _open(place.pitch_key, venues, days)
        )
        assert hours.empty_seconds == _empty_minutes(own, place.pitch_key, venues, days) * 60
        assert hours.lamp_seconds == _lamp_seconds(own, place.pitch_key, venues, days, whole)
        assert hours.free_ground >= 0


def _cut(one: TimeRange, whole: TimeRange) -> int:
    start, end = max(one.starts_at, whole.starts_at), min(one.ends_at, whole.ends_at)
    return max(0, int((end - start).total_seconds()))


def _amount(one: Booking, whole: TimeRange, venues: tuple[Venue, ...]) -> Amount:
    pitch = next(p for v in venues for p in v.pitches if p.key == one.pitch_key)
    seconds = _cut(one.during, whole)
    share = {"whole": 1, "half-1": 2, "half-2": 2}.get(one.area_key, 3)
    return Amount(
        seconds,
        seconds * round(pitch.polygon.area) * 1200 // share,
        int(whole.contains(one.during.starts_at)),
    )


def _open(key: str, venues: tuple[Venue, ...], days: tuple[date, date]) -> list[TimeRange]:
    venue = next(v for v in venues if any(p.key == key for p in v.pitches))
    pitch = next(p for p in venue.pitches if p.key == key)
    found = []
    for day in each_date(*days):
        for window in join_windows(venue.opening):
            if window.weekday != day.weekday():
                continue
            start, end = (
                instant_from_wall(day, m, LONDON) for m in (window.start_min, window.end_min)
            )
            until = usable_until(pitch, venue, day, LONDON)
            end = end if until is None else min(end, until)
            dawn = usable_from(pitch, venue, day, LONDON)
            start = start if dawn is None else max(start, dawn)
            if start < end:
                found.append(TimeRange(start, end))
    return found


def _empty_minutes(
    own: list[Booking], key: str, venues: tuple[Venue, ...], days: tuple[date, date]
) -> int:
    count = 0
    for one in _open(key, venues, days):
        near = [b.during for b in own if b.during.overlaps(one)]
        for n in range(one.minutes):
            minute = one.starts_at + timedelta(minutes=n)
            count += not any(during.contains(minute) for during in near)
    return count


def _lamp_seconds(
    own: list[Booking],
    key: str,
    venues: tuple[Venue, ...],
    days: tuple[date, date],
    whole: TimeRange,
) -> int:
    venue = next(v for v in venues if any(p.key == key for p in v.pitches))
    pitch = next(p for p in venue.pitches if p.key == key)
    if not pitch.is_lit or pitch.is_indoor or venue.lon is None or venue.lat is None:
        return 0
    total = 0
    for evening in list_evenings(
        days[0] - timedelta(days=1),
        days[1],
        venue.lon,
        venue.lat,
        venue.dusk_margin_minutes,
        LONDON,
    ):
        day = TimeRange(*(instant_from_wall(evening.day, m, LONDON) for m in (0, 1440)))
        until = usable_until(pitch, venue, evening.day, LONDON)
        assert until is not None, "the lights go out here"
        held = [
            b.during
            for b in own
            if b.purpose is not Purpose.CLOSED and day.contains(b.during.starts_at)
        ]
        total += sum(_cut(span, whole) for span in lamp_spans(held, evening, day, until))
    return total
