"""The rules that find problems ahead."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from clubplanner.domain.booked.bookings import Booking, Purpose
from clubplanner.domain.club.concerns import runs_of_weeks, weeks_without
from clubplanner.domain.times.times import range_from_wall
from clubplanner.domain.times.year import SquadSeason
from tests.builders import A_WEDNESDAY, LONDON, make_booking

COACHES = {"kestrels": "Robin Hale", "owls": "robin hale ", "larks": "Sam Reed", "wrens": ""}
VENUES = {"top": "marsh", "low": "marsh", "far": "hill"}
MONDAY = date(2026, 11, 23)


def session(
    number: int, squad: str, start: int, end: int, pitch: str = "top", **changes: Any
) -> Booking:
    """Return a session of a squad on the Wednesday, in minutes after 18:00."""
    during = range_from_wall(A_WEDNESDAY, 1080 + start, 1080 + end, LONDON)
    return make_booking(
        number, squad_key=squad, holder=squad, pitch_key=pitch, during=during, **changes
    )


def test_weeks_without_a_session_count_only_while_a_squad_trains() -> None:
    """Breaks make no week; a squad's own season ends the search; matches are no session."""
    training = [MONDAY + timedelta(days=n) for n in (0, 2, 7, 9, 14, 16)]
    bookings = [
        session(1, "kestrels", 0, 60),
        session(2, "owls", 0, 60, purpose=Purpose.MATCH),
        session(3, "larks", 0, 60, is_withdrawn=True),
    ]
    squads = {
        "kestrels": SquadSeason(),
        "owls": SquadSeason(None, MONDAY + timedelta(days=8)),
        "larks": SquadSeason(MONDAY + timedelta(days=14)),
    }
    second, third = MONDAY + timedelta(days=7), MONDAY + timedelta(days=14)
    assert weeks_without(squads, bookings, training, LONDON) == {
        "kestrels": [second, third],
        "owls": [MONDAY, second],
        "larks": [third],
    }


def test_weeks_in_a_row_are_put_together() -> None:
    """A gap begins a new run."""
    weeks = [MONDAY + timedelta(weeks=n) for n in (0, 1, 2, 4)]
    assert runs_of_weeks(weeks) == [(weeks[0], weeks[2]), (weeks[3], weeks[3])]
    assert runs_of_weeks([]) == []
