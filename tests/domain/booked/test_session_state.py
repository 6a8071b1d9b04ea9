"""What is true of a session, decided from what was done to it."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest

from clubplanner.domain.booked.closures import Closure, Condition
from clubplanner.domain.booked.session_state import (
    PLAN_NOTICE,
    Cause,
    Outcome,
    Reason,
    Spot,
    Step,
    in_place_of,
    replaced_by,
    state_of,
)
from tests.builders import make_range

AT = datetime(2026, 11, 25, 17, 0, tzinfo=UTC)
LONG_BEFORE = datetime(2026, 11, 1, 12, 0, tzinfo=UTC)
HERE = Spot("top", "third-1", make_range(), "Clubhouse third, Top pitch")
THERE = Spot("hall", "half-1", make_range(), "Hall")
ELSEWHERE = Spot("low", "whole", make_range(start_min=1140, end_min=1215), "Low pitch")
WET = Reason(Cause.CLOSED, "waterlogged")
BY_HAND = Reason(Cause.SAID, "")


def step(
    before: Spot | None, after: Spot | None, reason: Reason = BY_HAND, at: datetime = AT
) -> Step:
    """Return what one change did."""
    return Step(at, before, after, reason)


def test_a_session_that_nothing_happened_to_is_on() -> None:
    """Nothing is told of it."""
    state = state_of(HERE, (), is_withdrawn=False)
    assert state.outcome is Outcome.ON
    assert not state.differs


def test_a_withdrawn_session_is_off_with_its_reason_since_then() -> None:
    """What it was is kept, and when and why it was called off."""
    state = state_of(HERE, [step(HERE, None, WET)], is_withdrawn=True)
    assert (state.outcome, state.was, state.since, state.reason) == (Outcome.OFF, HERE, AT, WET)


def test_a_session_elsewhere_than_planned_is_moved() -> None:
    """It tells where it was to be by its plan, however often it was moved."""
    once = [step(HERE, THERE, WET)]
    twice = [*once, step(THERE, ELSEWHERE, at=AT + timedelta(minutes=5))]
    assert state_of(THERE, once, is_withdrawn=False).was == HERE
    state = state_of(ELSEWHERE, twice, is_withdrawn=False)
    assert (state.outcome, state.was) == (Outcome.MOVED, HERE)
    assert state.reason == WET, "what drove it away still holds where nobody said anything else"
    assert state.since == AT + timedelta(minutes=5)


def test_a_session_that_came_back_is_on_as_if_nothing_had_been() -> None:
    """Moved twice and back, or withdrawn and put back."""
    moved = [step(HERE, THERE, WET), step(THERE, ELSEWHERE), step(ELSEWHERE, HERE)]
    assert not state_of(HERE, moved, is_withdrawn=False).differs
    back = [step(HERE, None, WET), step(None, HERE)]
    assert not state_of(HERE, back, is_withdrawn=False).differs


def test_a_session_withdrawn_and_put_elsewhere_is_moved() -> None:
    """By its plan it was to be where it was before it was withdrawn."""
    state = state_of(THERE, [step(HERE, None, WET), step(None, THERE)], is_withdrawn=False)
    assert (state.outcome, state.was) == (Outcome.MOVED, HERE)


def test_a_session_moved_and_withdrawn_for_no_reason_has_none() -> None:
    """Why it was moved is not why it is off; it is off where it stood last, and by its plan."""
    steps = [step(HERE, THERE, WET), step(THERE, None)]
    state = state_of(THERE, steps, is_withdrawn=True)
    assert (state.outcome, state.was, state.reason.is_said) == (Outcome.OFF, THERE, False)
    assert state.missed_at == (THERE, HERE)
    assert state.off_here(HERE).missed_at == (HERE,)


def test_another_in_place_of_one_that_was_moved_and_is_off_is_moved_from_the_plan() -> None:
    """As one that was moved twice is."""
    off = state_of(THERE, [step(HERE, THERE), step(THERE, None, WET)], is_withdrawn=True)
    new = in_place_of(state_of(ELSEWHERE, (), is_withdrawn=False), off)
    assert (new.outcome, new.was, new.reason) == (Outcome.MOVED, HERE, WET)


@pytest.mark.parametrize(("notice", "outcome"), [(timedelta(), "on"), (timedelta(1), "moved")])
def test_a_share_out_published_long_before_is_the_plan(notice: timedelta, outcome: str) -> None:
    """From a week before on, a share-out moves sessions like anything else."""
    published = HERE.during.starts_at - PLAN_NOTICE + notice
    steps = [step(HERE, THERE, Reason(Cause.PLAN), published)]
    assert state_of(THERE, steps, is_withdrawn=False).outcome == outcome


def test_a_session_that_a_later_plan_does_without_is_none() -> None:
    """It was not called off: there is another plan."""
    steps = [step(HERE, None, Reason(Cause.PLAN), LONG_BEFORE)]
    assert state_of(HERE, steps, is_withdrawn=True).is_dropped
    late = [step(HERE, None, Reason(Cause.PLAN, "frost"))]
    state = state_of(HERE, late, is_withdrawn=True)
    assert not state.is_dropped
    assert state.reason.words == "frost"


def test_moved_by_hand_long_before_is_moved_until_it_is_over() -> None:
    """One session that is put elsewhere is no new plan, and a new plan puts an end to it."""
    by_hand = [step(HERE, THERE, at=LONG_BEFORE)]
    assert state_of(THERE, by_hand, is_withdrawn=False).outcome is Outcome.MOVED
    planned = [*by_hand, step(THERE, ELSEWHERE, Reason(Cause.PLAN), LONG_BEFORE)]
    assert state_of(ELSEWHERE, planned, is_withdrawn=False).outcome is Outcome.ON


def test_words_alone_move_nothing() -> None:
    """A note that changes leaves the session where it is."""
    assert not state_of(HERE, [step(HERE, HERE)], is_withdrawn=False).differs


def test_conditions_limit_a_session_that_is_on_and_go_with_one_that_is_moved() -> None:
    """What the ground asks for is told of wherever the session is, not of one that is off."""
    half = Closure(1, "top", "Top", "Top", 1, make_range(), Condition.HALF_LOAD, "frost")
    assert state_of(HERE, (), [half], is_withdrawn=False).outcome is Outcome.LIMITED
    moved = state_of(THERE, [step(HERE, THERE)], [half], is_withdrawn=False)
    assert (moved.outcome, moved.conditions) == (Outcome.MOVED, (half,))
    assert not state_of(HERE, [step(HERE, None)], [half], is_withdrawn=True).conditions


def test_another_session_in_its_place_is_moved_from_there() -> None:
    """Called off and another made: each tells of the other."""
    off = state_of(HERE, [step(HERE, None, WET)], is_withdrawn=True)
    assert replaced_by(off, THERE).instead == THERE
    new = in_place_of(state_of(THERE, (), is_withdrawn=False), off)
    assert (new.outcome, new.was, new.reason) == (Outcome.MOVED, HERE, WET)


@pytest.mark.parametrize("day", [date(2026, 10, 25), date(2027, 3, 28)])
def test_on_the_nights_the_clocks_change_the_same_wall_time_is_the_same_plan(day: date) -> None:
    """A session is compared by its instants; an hour on the wall is none that moved."""
    during = make_range(day, start_min=60, end_min=240)
    spot = Spot("top", "third-1", during)
    assert state_of(spot, [step(spot, spot)], is_withdrawn=False).outcome is Outcome.ON
