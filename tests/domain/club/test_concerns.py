"""The rules that find problems ahead."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest

from clubplanner.domain.booked.bookings import Booking, Purpose
from clubplanner.domain.club.concerns import find_two_places, runs_of_weeks, weeks_without
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


@pytest.mark.parametrize(
    ("bookings", "who", "is_travel"),
    [
        # One coach, two squads, overlapping, though the name is typed differently.
        ([session(1, "kestrels", 0, 60), session(2, "owls", 45, 90, "low")], "Robin Hale", False),
        # Touching sessions at one venue are fine; at two they leave no time for the way.
        ([session(1, "kestrels", 0, 60), session(2, "owls", 60, 120, "low")], None, False),
        ([session(1, "kestrels", 0, 60), session(2, "owls", 60, 120, "far")], "Robin Hale", True),
        ([session(1, "kestrels", 0, 60), session(2, "owls", 90, 120, "far")], None, False),
        # A squad booked twice is named itself, whether or not its coach is known.
        ([session(1, "wrens", 0, 60), session(2, "wrens", 30, 90, "low")], "wrens", False),
        ([session(1, "kestrels", 0, 60), session(2, "kestrels", 0, 60, "low")], "kestrels", False),
        # Two squads that train together on the same ground are no fault; other coaches neither.
        ([session(1, "kestrels", 0, 60), session(2, "owls", 0, 60)], None, False),
        ([session(1, "kestrels", 0, 60), session(2, "larks", 0, 60, "low")], None, False),
        # A long session covers one that is not its neighbour in time.
        (
            [
                session(1, "kestrels", 0, 180),
                session(2, "owls", 30, 60),
                session(3, "owls", 120, 150, "low"),
            ],
            "Robin Hale",
            False,
        ),
        # Closures and withdrawn sessions bind nobody.
        (
            [
                session(1, "kestrels", 0, 60, purpose=Purpose.CLOSED),
                session(2, "owls", 0, 60, "low"),
                session(3, "kestrels", 0, 60, "low", is_withdrawn=True),
            ],
            None,
            False,
        ),
    ],
)
def test_who_would_be_in_two_places(
    bookings: list[Booking], who: str | None, is_travel: bool
) -> None:
    """Overlaps, and ways that are too long, of one coach or one squad."""
    found = find_two_places(bookings, COACHES, VENUES, 30)
    if who is None:
        assert found == ()
        return
    assert {two.who for two in found} == {who}
    assert all(two.is_travel is is_travel for two in found)


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
