"""Closed ground in pieces of a day."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clubplanner.domain.booked.closures import Closure, Condition, day_pieces
from clubplanner.domain.times.hours_typed import range_typed_until
from clubplanner.domain.times.times import TimeRange
from tests.builders import LONDON, make_range

ZONES = ("Europe/London", "America/New_York", "Australia/Sydney", "Pacific/Kiritimati")
INSTANTS = st.datetimes(datetime(2026, 1, 1), datetime(2027, 12, 31))  # noqa: DTZ001


@given(INSTANTS, st.integers(1, 60 * 24 * 9), st.sampled_from(ZONES))
def test_pieces_are_the_range_and_none_passes_midnight(
    start: datetime, minutes: int, zone_name: str
) -> None:
    """Whatever the zone and the clock changes, each piece lies in one local date."""
    zone = ZoneInfo(zone_name)
    starts_at = start.replace(tzinfo=UTC)
    during = TimeRange(starts_at, starts_at + timedelta(minutes=minutes))
    pieces = day_pieces(during, zone)
    assert pieces[0].starts_at == during.starts_at
    assert pieces[-1].ends_at == during.ends_at
    for one, after in pairwise(pieces):
        assert one.ends_at == after.starts_at
    for piece in pieces:
        last = piece.ends_at - timedelta(seconds=1)
        assert piece.starts_at.astimezone(zone).date() == last.astimezone(zone).date()


def test_the_night_the_clocks_go_back_is_one_piece_of_25_hours() -> None:
    """25 October 2026 in London lasts 25 hours (IANA tz database: back at 01:00 UTC)."""
    during = range_typed_until(date(2026, 10, 25), 0, date(2026, 10, 25), 24 * 60, LONDON)
    (piece,) = day_pieces(during, LONDON)
    assert piece.minutes == 25 * 60


def test_an_end_before_the_start_is_refused() -> None:
    """A closure runs forward."""
    with pytest.raises(ValueError, match="after the start"):
        range_typed_until(date(2026, 10, 25), 600, date(2026, 10, 25), 600, LONDON)


def test_conditions_are_told_in_words_and_weigh_on_the_load() -> None:
    """Closed, no studs, half load and another condition each have their sentence."""

    def closure(condition: Condition, words: str = "") -> Closure:
        return Closure(1, "p", "Top", "Whole of Top", 1, make_range(), condition, "soft", words)

    assert closure(Condition.CLOSED).sentence == "Whole of Top is closed: soft."
    assert closure(Condition.NO_STUDS).sentence == "Whole of Top: no studs (soft)."
    assert closure(Condition.OTHER, "walking only").sentence == "Whole of Top: walking only (soft)."
    assert [closure(c).load_factor for c in Condition] == [0.0, 1.0, 0.5, 1.0]


def test_conditions_are_kept_under_these_words() -> None:
    """Records hold them, so they stay as they are."""
    assert [c.value for c in Condition] == ["closed", "no studs", "half load", "other"]


def test_only_closed_ground_is_closed() -> None:
    """With a condition it is open, and what is allowed need not be said twice."""
    for condition in Condition:
        closure = Closure(1, "p", "Top", "Half of Top", 1, make_range(), condition, "frost")
        assert closure.is_closed is (condition is Condition.CLOSED)
        assert closure.words == ""


def test_a_range_of_dates_runs_to_the_minute_of_the_last() -> None:
    """Both dates and both minutes count, each on the wall clock of its own day."""
    during = range_typed_until(date(2026, 10, 24), 600, date(2026, 10, 26), 720, LONDON)
    assert during.starts_at == datetime(2026, 10, 24, 9, tzinfo=UTC)
    assert during.ends_at == datetime(2026, 10, 26, 12, tzinfo=UTC)
    spring = range_typed_until(date(2026, 3, 28), 600, date(2026, 3, 30), 720, LONDON)
    assert spring.starts_at == datetime(2026, 3, 28, 10, tzinfo=UTC)
    assert spring.ends_at == datetime(2026, 3, 30, 11, tzinfo=UTC)
