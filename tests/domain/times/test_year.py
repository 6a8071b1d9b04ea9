"""Holidays to decide about, and squads' own seasons."""

from __future__ import annotations

from datetime import date

import pytest

from clubplanner.domain.times.seasons import Break, Stretch
from clubplanner.domain.times.year import (
    Holiday,
    SquadSeason,
    known_countries,
    public_holidays,
    undecided_holidays,
)

WINTER = Stretch("winter", "Winter", date(2026, 10, 26), date(2027, 3, 26))
CHRISTMAS = Break("Christmas", date(2026, 12, 21), date(2027, 1, 3))


def test_only_holidays_in_the_season_outside_breaks_wait() -> None:
    """A holiday in a break, out of season or kept needs no decision."""
    listed = [
        Holiday(date(2026, 8, 31), "Late summer"),
        Holiday(date(2026, 12, 25), "Christmas Day"),
        Holiday(date(2027, 3, 17), "St Patrick"),
        Holiday(date(2027, 3, 26), "Good Friday"),
    ]
    kept = {date(2027, 3, 17)}
    assert undecided_holidays(listed, [WINTER], [CHRISTMAS], kept) == (listed[3],)


def test_a_squads_season_has_both_its_ends() -> None:
    """First and last date belong to it; without one the club's season counts."""
    own = SquadSeason(date(2026, 11, 1), date(2026, 11, 30))
    assert [own.has(date(2026, month, day)) for month, day in ((10, 31), (11, 1), (11, 30))] == [
        False,
        True,
        True,
    ]
    assert not own.has(date(2026, 12, 1))
    assert SquadSeason().has(date(1999, 1, 1))


def test_unknown_places_are_told_with_what_there_is() -> None:
    """No place means no holidays; a wrong one is answered with what to write."""
    year = (date(2026, 1, 1), date(2026, 12, 31))
    assert public_holidays("", "", *year) == ()
    assert "ENG" in known_countries()["GB"]
    with pytest.raises(ValueError, match="write a code like GB"):
        public_holidays("XX", "", *year)
    with pytest.raises(ValueError, match="write one of: ENG, NIR, SCT, WLS"):
        public_holidays("GB", "Kent", *year)
