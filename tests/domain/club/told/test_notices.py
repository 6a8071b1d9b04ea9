"""Who has to be told of what, and when."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, time, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.booked.journal import BookingState
from clubplanner.domain.club.told.notices import (
    LONGEST_PAUSE,
    LONGEST_SETTLE,
    SETTLE,
    NotedChange,
    QuietHours,
    due_at,
    is_noticeable,
    is_settled,
    is_soon,
    join_changes,
    pause_after,
    squads_told,
)
from tests.builders import LONDON

NOON = datetime(2026, 11, 25, 12, tzinfo=UTC)
QUIET = QuietHours(time(21, 30), time(7))
STATE = BookingState(
    pitch_id=1,
    area_id=2,
    starts_at=NOON + timedelta(hours=6),
    ends_at=NOON + timedelta(hours=7),
    purpose=Purpose.TRAINING,
    squad_id=5,
    holder="U12 Kestrels",
    note="",
    is_withdrawn=False,
    is_fixed=False,
)
GONE = replace(STATE, is_withdrawn=True)


def change(
    before: BookingState | None, after: BookingState, number: int = 1, sequence: int = 1
) -> NotedChange:
    """Return a change at noon."""
    return NotedChange(number, before, after, sequence, NOON)


@pytest.mark.parametrize(
    "differs",
    [
        {"area_id": 3},
        {"pitch_id": 3},
        {"starts_at": NOON + timedelta(hours=5)},
        {"ends_at": NOON + timedelta(hours=8)},
        {"purpose": Purpose.MATCH},
        {"note": "No studs"},
        {"is_withdrawn": True},
        {"squad_id": 6},
    ],
)
def test_what_a_calendar_shows_is_noticed(differs: dict[str, object]) -> None:
    """Time, ground, reason, words and withdrawal are noticed, both ways."""
    other = replace(STATE, **differs)  # type: ignore[arg-type]
    assert is_noticeable(STATE, other)
    assert is_noticeable(other, STATE)


def test_another_hirer_is_noticed_and_another_name_of_a_squad_is_not() -> None:
    """A squad called otherwise is the same squad: calendars show it, nobody is written to."""
    assert not is_noticeable(STATE, replace(STATE, holder="U12 Falcons"))
    hire = replace(STATE, squad_id=None, purpose=Purpose.HIRE, holder="Hill Runners")
    assert is_noticeable(hire, replace(hire, holder="Choir"))
    assert is_noticeable(STATE, replace(STATE, holder="U12 Falcons", note="No studs"))


def test_a_squads_name_is_looked_up_so_a_renaming_alone_is_not_told() -> None:
    """Nor what came back to where it was meanwhile; a name of nobody's squad is what is known."""
    renamed = replace(STATE, holder="U12 Falcons")
    moved = replace(renamed, area_id=3)
    assert join_changes([change(STATE, renamed)]) == ()
    assert (
        join_changes([change(STATE, renamed), change(renamed, moved), change(moved, STATE)]) == ()
    )
    assert join_changes([change(STATE, renamed), change(renamed, moved)]) == (change(STATE, moved),)
    assert is_noticeable(STATE, replace(STATE, squad_id=6)), "another squad of the same name"
    assert is_noticeable(replace(STATE, squad_id=None), STATE), "somebody of the same name"


def test_what_a_calendar_does_not_show_is_not() -> None:
    """Fixing and overruling are the secretary's affair; a withdrawn booking stays withdrawn."""
    assert not is_noticeable(STATE, replace(STATE, is_fixed=True))
    assert not is_noticeable(STATE, replace(STATE, overruled="The final"))
    assert not is_noticeable(STATE, STATE)
    assert not is_noticeable(GONE, replace(GONE, area_id=9))
    assert is_noticeable(None, STATE)
    assert not is_noticeable(None, GONE)


def test_both_squads_hear_of_a_booking_that_passes_on() -> None:
    """The one that has it now and the one that had it; nobody of a hire."""
    assert squads_told(STATE, replace(STATE, squad_id=6)) == (6, 5)
    assert squads_told(STATE, replace(STATE, squad_id=None)) == (5,)
    assert squads_told(None, STATE) == (5,)
    assert squads_told(None, replace(STATE, squad_id=None)) == ()


@pytest.mark.parametrize(
    ("hours", "soon"), [(-1, False), (-0.5, True), (0, True), (23.9, True), (24, False)]
)
def test_a_day_ahead_is_soon(hours: float, soon: bool) -> None:
    """From the present up to, not including, a day ahead; what is over is not."""
    start = NOON + timedelta(hours=hours)
    state = replace(STATE, starts_at=start, ends_at=start + timedelta(hours=1))
    far = replace(STATE, starts_at=NOON + timedelta(days=9), ends_at=NOON + timedelta(days=10))
    assert is_soon(None, state, NOON) is soon
    assert is_soon(state, far, NOON) is soon, "the squad would go to where it was"
    assert is_soon(far, state, NOON) is soon
    assert is_soon(state, replace(state, is_withdrawn=True), NOON) is soon
    assert not is_soon(None, replace(state, is_withdrawn=True), NOON)


def test_a_booking_is_told_of_once() -> None:
    """Several changes of one booking are one: from what it was first to what it is last."""
    moved, again = replace(STATE, area_id=3), replace(STATE, area_id=4)
    other = change(None, replace(STATE, area_id=8), number=2)
    (joined, second) = join_changes([change(STATE, moved), other, change(moved, again, sequence=2)])
    assert joined == change(STATE, again, sequence=2)
    assert second == other


def test_what_came_back_is_not_told() -> None:
    """Moved and moved back, or added and withdrawn at once: there is nothing to tell."""
    moved = replace(STATE, area_id=3)
    assert join_changes([change(STATE, moved), change(moved, STATE)]) == ()
    assert join_changes([change(None, STATE), change(STATE, GONE)]) == ()


def test_a_go_is_over_when_it_is_quiet() -> None:
    """Two minutes after the last change, ten after the first at the latest."""
    assert not is_settled(NOON, NOON, NOON + SETTLE - timedelta(seconds=1))
    assert is_settled(NOON, NOON, NOON + SETTLE)
    late = NOON + LONGEST_SETTLE
    assert is_settled(NOON, late, late)
    assert not is_settled(NOON, late - timedelta(seconds=2), late - timedelta(seconds=1))


@pytest.mark.parametrize(
    ("clock", "ends"),
    [
        ("21:29", None),
        ("21:30", "2026-11-26 07:00"),
        ("23:59", "2026-11-26 07:00"),
        ("00:00", "2026-11-25 07:00"),
        ("06:59", "2026-11-25 07:00"),
        ("07:00", None),
    ],
)
def test_quiet_hours_run_over_midnight(clock: str, ends: str | None) -> None:
    """On the club's own clock, the end not included."""
    wall = datetime.combine(NOON.date(), time.fromisoformat(clock), LONDON)
    found = QUIET.end_after(wall.astimezone(UTC), LONDON)
    assert (found and f"{found.astimezone(LONDON):%Y-%m-%d %H:%M}") == ends


def test_quiet_hours_keep_to_the_wall_clock_when_the_clocks_change() -> None:
    """On the night of 25 October 2026 they end at 07:00 GMT (IANA time zone database)."""
    evening = datetime(2026, 10, 24, 22, tzinfo=LONDON).astimezone(UTC)
    assert QUIET.end_after(evening, LONDON) == datetime(2026, 10, 25, 7, tzinfo=UTC)
    summer = datetime(2026, 6, 24, 22, tzinfo=LONDON).astimezone(UTC)
    assert QUIET.end_after(summer, LONDON) == datetime(2026, 6, 25, 6, tzinfo=UTC)


def test_no_quiet_hours_and_those_of_an_afternoon() -> None:
    """Equal ends are none at all; ones within a day end on that day."""
    none = QuietHours(time(0), time(0))
    assert none.end_after(NOON, LONDON) is None
    siesta = QuietHours(time(11), time(13))
    one = NOON + timedelta(hours=1)
    assert siesta.end_after(NOON - timedelta(hours=1, seconds=1), LONDON) is None
    assert siesta.end_after(NOON - timedelta(hours=1), LONDON) == one
    assert siesta.end_after(NOON, LONDON) == one
    assert siesta.end_after(one, LONDON) is None


def test_sleep_is_broken_only_for_an_early_start() -> None:
    """A mail waits for the morning unless somebody has to leave the house before or right after."""
    night = datetime(2026, 11, 25, 23, tzinfo=UTC)
    morning = datetime(2026, 11, 26, 7, tzinfo=UTC)

    def starting(hour: int, minute: int = 0) -> BookingState:
        start = datetime(2026, 11, 26, hour, minute, tzinfo=UTC)
        return replace(STATE, starts_at=start, ends_at=start + timedelta(hours=1))

    evening, early = starting(18), starting(8, 59)
    assert due_at([change(STATE, evening)], night, QUIET, LONDON) == morning
    assert due_at([change(evening, early)], night, QUIET, LONDON) == night
    assert due_at([change(early, evening)], night, QUIET, LONDON) == night
    assert due_at([change(None, starting(9))], night, QUIET, LONDON) == morning
    assert due_at([change(None, evening)], NOON, QUIET, LONDON) == NOON
    summer = datetime(2026, 6, 25, 6, 30, tzinfo=UTC)  # half past seven in London
    assert due_at([change(None, evening)], summer, QUIET, LONDON) == summer


@given(st.integers(-3, 10_000))
def test_pauses_grow_up_to_an_hour(attempts: int) -> None:
    """Each is at least as long as the one before, and none longer than the longest."""
    assert timedelta(minutes=2) <= pause_after(attempts) <= pause_after(attempts + 1)
    assert pause_after(attempts) <= LONGEST_PAUSE


def test_a_go_is_told_of_after_two_quiet_minutes_and_ten_at_most() -> None:
    """In figures: what people are promised."""
    minute = timedelta(minutes=1)
    assert not is_settled(NOON, NOON, NOON + 1.9 * minute)
    assert is_settled(NOON, NOON, NOON + 2 * minute)
    assert not is_settled(NOON, NOON + 9 * minute, NOON + 9.9 * minute)
    assert is_settled(NOON, NOON + 9 * minute, NOON + 10 * minute)


def test_pauses_double_from_two_minutes_to_an_hour() -> None:
    """2, 4, 8, 16, 32 minutes, then an hour each, however often it failed."""
    minutes = [pause_after(n) / timedelta(minutes=1) for n in (0, 1, 2, 3, 4, 5, 6, 7, 12, 9_999)]
    assert minutes == [2, 2, 4, 8, 16, 32, 60, 60, 60, 60]


def test_the_end_of_quiet_hours_is_told_in_the_zone_that_was_asked_in() -> None:
    """Not in that of the machine."""
    found = QUIET.end_after(datetime(2026, 11, 25, 23, tzinfo=UTC), LONDON)
    assert found is not None
    assert found.tzinfo is UTC


def test_nobody_is_woken_about_what_is_over() -> None:
    """A session that has just ended is no reason to write by night; one that runs still is."""
    night = datetime(2026, 11, 25, 23, tzinfo=UTC)
    morning = datetime(2026, 11, 26, 7, tzinfo=UTC)
    over = replace(STATE, starts_at=night - timedelta(hours=1), ends_at=night)
    running = replace(over, ends_at=night + timedelta(seconds=1))
    assert due_at([change(None, over)], night, QUIET, LONDON) == morning
    assert due_at([change(None, running)], night, QUIET, LONDON) == night
    assert due_at([], night, QUIET, LONDON) == morning


def test_each_change_of_a_go_is_looked_at() -> None:
    """One early start among changes that could wait is enough to write at once."""
    night = datetime(2026, 11, 25, 23, tzinfo=UTC)
    early = replace(
        STATE,
        starts_at=night + timedelta(hours=9),
        ends_at=night + timedelta(hours=10),
    )
    late = replace(early, starts_at=night + timedelta(days=1), ends_at=night + timedelta(days=2))
    changes = [change(None, late), change(None, early, number=2)]
    assert due_at(changes, night, QUIET, LONDON) == night
    assert due_at(changes[::-1], night, QUIET, LONDON) == night
