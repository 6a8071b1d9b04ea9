"""Following sessions that closed ground displaced, by the journal alone."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.booked.coming_back import Away, Mover, Step, has_to_go, still_away
from clubplanner.domain.booked.journal import BookingState

AT_SIX = datetime(2026, 11, 25, 18, 0, tzinfo=UTC)
THERE = BookingState(
    1, 1, AT_SIX, AT_SIX + timedelta(minutes=75), Purpose.TRAINING, 1, "Kestrels", "", False, True
)
GONE = replace(THERE, is_withdrawn=True)
ELSEWHERE = replace(THERE, pitch_id=2, area_id=5)


def steps(*taken: tuple[BookingState, BookingState, Mover]) -> list[Step]:
    """Return steps of one session."""
    return [Step(7, before, after, mover) for before, after, mover in taken]


def test_whoever_was_displaced_is_away_until_back() -> None:
    """Withdrawn or moved alike; put back where it was, nothing is left to do."""
    closed = (THERE, GONE, Mover.THIS_GROUND)
    assert still_away(steps(closed)) == (Away(7, THERE, is_moved_on=False),)
    moved = (THERE, ELSEWHERE, Mover.THIS_GROUND)
    assert still_away(steps(moved)) == (Away(7, THERE, is_moved_on=False),)
    assert still_away(steps(closed, (GONE, THERE, Mover.PERSON))) == ()
    again = steps(closed, (GONE, THERE, Mover.PERSON), closed)
    assert still_away(again) == (Away(7, THERE, is_moved_on=False),)


def test_only_a_persons_decision_moves_it_on() -> None:
    """Displaced once more it is still away for closed ground; put elsewhere it is not."""
    moved = (THERE, ELSEWHERE, Mover.THIS_GROUND)
    once_more = (ELSEWHERE, replace(ELSEWHERE, is_withdrawn=True), Mover.OTHER_GROUND)
    assert still_away(steps(moved, once_more)) == (Away(7, THERE, is_moved_on=False),)
    third = replace(ELSEWHERE, area_id=6)
    by_hand = (ELSEWHERE, third, Mover.PERSON)
    assert still_away(steps(moved, by_hand)) == (Away(7, THERE, is_moved_on=True),)
    fixed = (ELSEWHERE, replace(ELSEWHERE, is_fixed=False), Mover.PERSON)
    assert still_away(steps(moved, fixed)) == (Away(7, THERE, is_moved_on=False),)


def test_what_the_closure_never_displaced_is_nobody() -> None:
    """A session withdrawn by hand, or by another closure, is not this closure's."""
    assert still_away(steps((THERE, GONE, Mover.PERSON))) == ()
    assert still_away(steps((THERE, GONE, Mover.OTHER_GROUND))) == ()


def test_touching_times_displace_nobody() -> None:
    """Closed until six, or from its end on, leaves the session; a minute more does not."""
    closed = replace(THERE, purpose=Purpose.CLOSED, squad_id=None)
    minute = timedelta(minutes=1)
    until_six = replace(closed, starts_at=AT_SIX - 60 * minute, ends_at=AT_SIX)
    assert not has_to_go(THERE, until_six)
    assert has_to_go(THERE, replace(until_six, ends_at=AT_SIX + minute))
    after = replace(closed, starts_at=THERE.ends_at, ends_at=THERE.ends_at + minute)
    assert not has_to_go(THERE, after)
    assert has_to_go(THERE, replace(after, starts_at=THERE.ends_at - minute))
    assert not has_to_go(GONE, closed)
    assert not has_to_go(None, closed)
    assert not has_to_go(THERE, replace(closed, is_withdrawn=True))
    assert not has_to_go(THERE, replace(closed, pitch_id=2))
