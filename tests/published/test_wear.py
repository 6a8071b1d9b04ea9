"""What grass bears, against published guidance."""

from __future__ import annotations

import pytest

from clubplanner.domain.ground.wear import match_weight, weigh_percent
from clubplanner.services.season.grass.wear import guidance

# Sport England, Natural Turf for Sport, 2011: highest adult hours a week by construction.
HOURS = {
    "undrained": 2,
    "pipe-drained": 3,
    "pipe-drained with sand grooves": 6,
    "suspended water table": 6,
}
# FA appendix to Sport England's Playing Pitch Strategy guidance, 2013, football on grass, match
# equivalents a week for adults, youth and mini soccer (from memory).
MATCHES = {"good": (3, 4, 6), "standard": (2, 2, 4), "poor": (1, 1, 2)}


def test_the_tables_are_as_published() -> None:
    """Each construction and each quality has its figures, and says how sure they are."""
    built = {row.construction: row for row in guidance() if row.construction}
    assert {name: row.hours for name, row in built.items()} == HOURS
    assert {row.standing for row in built.values()} == {"read in the source"}
    good = {row.quality: row for row in guidance() if row.quality}
    assert {
        name: (row.matches, row.youth_matches, row.mini_matches) for name, row in good.items()
    } == MATCHES
    assert all("not confirmed" in row.words for row in good.values())


@pytest.mark.parametrize(("age", "percent"), [(8, 67), (15, 67), (16, 100), (None, 100)])
def test_the_young_wear_less(age: int | None, percent: int) -> None:
    """About half as much again for 15 and under: 100 / 1.5 (Natural Turf for Sport, 2011)."""
    assert weigh_percent(age) == percent


@pytest.mark.parametrize(
    ("quality", "age", "weight"),
    [
        ("good", None, 1),
        ("good", 14, 3 / 4),
        ("good", 8, 3 / 6),
        ("standard", 14, 1),
        ("standard", 10, 2 / 4),
        ("poor", 18, 1),
        ("poor", 7, 1 / 2),
    ],
)
def test_matches_of_the_young_count_as_the_table_lets_them(
    quality: str, age: int | None, weight: float
) -> None:
    """The pitch's own row: as many of theirs as it bears weigh what its adult matches do."""
    row = next(row for row in guidance() if row.quality == quality)
    assert match_weight(age, row) == pytest.approx(weight)
    assert match_weight(age, None) == 1
