"""The rules that find problems ahead."""

from __future__ import annotations

from datetime import date, timedelta

from clubplanner.domain.club.told.concerns import runs_of_weeks, weeks_without
from clubplanner.domain.times.year import SquadSeason

MONDAY = date(2026, 11, 23)


def test_weeks_without_a_session_count_only_while_a_squad_trains() -> None:
    """Breaks make no week; a squad's own season ends the search."""
    training = [MONDAY + timedelta(days=n) for n in (0, 2, 7, 9, 14, 16)]
    have = {"kestrels": {MONDAY}}
    squads = {
        "kestrels": SquadSeason(),
        "owls": SquadSeason(None, MONDAY + timedelta(days=8)),
        "larks": SquadSeason(MONDAY + timedelta(days=14)),
    }
    second, third = MONDAY + timedelta(days=7), MONDAY + timedelta(days=14)
    assert weeks_without(squads, have, training) == {
        "kestrels": [second, third],
        "owls": [MONDAY, second],
        "larks": [third],
    }


def test_weeks_in_a_row_are_put_together() -> None:
    """A gap begins a new run."""
    weeks = [MONDAY + timedelta(weeks=n) for n in (0, 1, 2, 4)]
    assert runs_of_weeks(weeks) == [(weeks[0], weeks[2]), (weeks[3], weeks[3])]
    assert runs_of_weeks([]) == []
