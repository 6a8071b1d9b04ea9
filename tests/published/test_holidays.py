"""Public holidays against published lists."""

from __future__ import annotations

from datetime import date

import pytest

from clubplanner.domain.times.year import public_holidays

# GOV.UK, "UK bank holidays", England and Wales, 2026 (from memory).
ENGLAND_2026 = {
    date(2026, 1, 1),
    date(2026, 4, 3),
    date(2026, 4, 6),
    date(2026, 5, 4),
    date(2026, 5, 25),
    date(2026, 8, 31),
    date(2026, 12, 25),
    date(2026, 12, 28),
}
YEAR = (date(2026, 1, 1), date(2026, 12, 31))


def test_every_bank_holiday_of_england_is_there() -> None:
    """The list also names 26 December, a Saturday, whose substitute is Monday 28 December."""
    found = {holiday.day for holiday in public_holidays("GB", "ENG", *YEAR)}
    assert found == ENGLAND_2026 | {date(2026, 12, 26)}


@pytest.mark.parametrize(
    ("country", "region", "day", "is_there"),
    [
        # Scotland keeps 2 January and has no Easter Monday (GOV.UK, from memory).
        ("GB", "SCT", date(2026, 1, 2), True),
        ("GB", "SCT", date(2026, 4, 6), False),
        # Corpus Christi, 60 days after Easter, is kept in Bavaria, not in Berlin (from memory).
        ("DE", "BY", date(2026, 6, 4), True),
        ("DE", "BE", date(2026, 6, 4), False),
        # The fourth Thursday of November (5 U.S.C. 6103, from memory).
        ("US", "", date(2026, 11, 26), True),
    ],
)
def test_regions_differ(country: str, region: str, day: date, is_there: bool) -> None:
    """A holiday is kept where it is kept."""
    found = {holiday.day for holiday in public_holidays(country, region, *YEAR)}
    assert (day in found) is is_there
