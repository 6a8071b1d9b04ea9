"""Squads: their age groups and the least ground they ask for."""

from __future__ import annotations

import pytest

from clubplanner.domain.club.squads import LeastGround, age_from_group
from tests.builders import make_ask, make_squad


@pytest.mark.parametrize(
    ("text", "age"),
    [
        ("U13", 13),
        ("u7", 7),
        ("Under 13s", 13),
        ("under-9", 9),
        ("u13 girls", 13),
        ("U13A", 13),
        ("U13/14", 13),
        (" U 11 ", 11),
        ("Adult", None),
        ("Veterans 35", None),
        ("13", None),
        ("U", None),
        ("U113", None),
        ("Club 13", None),
        ("", None),
    ],
)
def test_the_age_of_an_under_group_is_read(text: str, age: int | None) -> None:
    """Under groups in their usual spellings have an age; nothing else has."""
    assert age_from_group(text) == age
    assert make_squad(age_group=text).age == age


def test_an_ask_takes_any_ground_unless_it_says_so() -> None:
    """Without a wish the least ground asks for nothing."""
    assert make_ask().least_ground == LeastGround(0.0, 0.0, "")
