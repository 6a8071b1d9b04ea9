"""Busy times of others: joined, cut at midnight, compared with what is booked."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from clubplanner.domain.booked.busy import TITLE_LIMIT, BusyPiece, compare_busy, join_busy
from clubplanner.domain.times.times import TimeRange
from tests.builders import LONDON

START = datetime(2026, 10, 24, 12, tzinfo=UTC)
"""Noon before the night on which the clocks go back (IANA time zone database)."""


def hours(start: float, end: float) -> TimeRange:
    """Return a range in hours from noon."""
    return TimeRange(START + timedelta(hours=start), START + timedelta(hours=end))


def test_overlapping_times_are_one_and_touching_ones_are_two() -> None:
    """Titles of joined times are joined too, each once."""
    found = join_busy(
        [
            (hours(4, 5), "Choir"),
            (hours(2, 4), "Yoga"),
            (hours(1, 3), "Fair"),
            (hours(2, 3), "Fair"),
        ],
        LONDON,
    )
    assert found == (BusyPiece(hours(1, 4), "Fair / Yoga"), BusyPiece(hours(4, 5), "Choir"))


def test_long_times_are_cut_at_local_midnight() -> None:
    """The day on which the clocks go back has 25 hours."""
    (first, second, third) = join_busy([(hours(0, 40), "Festival")], LONDON)
    assert first.during == hours(0, 11)
    assert second.during.minutes == 25 * 60
    assert third.during.ends_at == START + timedelta(hours=40)


def test_very_long_titles_are_cut() -> None:
    """They stay within what a note may hold."""
    (piece,) = join_busy([(hours(0, 2), "a" * 150), (hours(1, 3), "b" * 150)], LONDON)
    assert len(piece.title) == TITLE_LIMIT


def test_only_differences_change_anything() -> None:
    """What is booked already stays; what moved goes and comes."""
    a, b, c = (BusyPiece(hours(n, n + 1), "Yoga") for n in (1, 2, 3))
    difference = compare_busy({7: a, 8: b, 9: b}, [a, b, c])
    assert (difference.gone, difference.fresh) == ((9,), (c,))
    assert compare_busy({}, []).fresh == ()


@given(st.lists(st.tuples(st.integers(0, 200), st.integers(1, 60)), max_size=12))
def test_joining_keeps_every_moment_and_adds_none(spans: list[tuple[int, int]]) -> None:
    """Pieces are in order, apart, within a day, and cover exactly what was covered."""
    times = [(hours(start, start + length), "") for start, length in spans]
    pieces = [piece.during for piece in join_busy(times, LONDON)]
    for one, other in pairwise(pieces):
        assert one.ends_at <= other.starts_at
    assert all(piece.minutes <= 25 * 60 for piece in pieces)
    covered = {s for start, length in spans for s in range(start, start + length)}
    moments = {
        n for n in range(300) for piece in pieces if piece.contains(START + timedelta(hours=n))
    }
    assert moments == covered
