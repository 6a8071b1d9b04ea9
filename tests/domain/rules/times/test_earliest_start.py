"""The rule of the earliest start."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from clubplanner.domain.club.sharing_rules import AgeRule, SharingRules
from clubplanner.domain.rules.times.earliest_start import earliest_start
from tests.domain.rules.builders import (
    LARKS,
    make_case,
    make_hire,
    make_match,
    make_scene,
    words_of,
)

SCHOOL = make_scene(rules=SharingRules(ages=(AgeRule(12, earliest_start_min=1020),)))
FRIDAY, SATURDAY, SUNDAY = date(2026, 11, 27), date(2026, 11, 28), date(2026, 11, 29)


@pytest.mark.parametrize(
    ("day", "start_min", "is_refused"),
    [
        (FRIDAY, 1020, False),
        (FRIDAY, 1019, True),
        (FRIDAY, 0, True),
        (SATURDAY, 540, False),
        (SUNDAY, 540, False),
    ],
)
def test_on_school_days_nobody_begins_before_school_is_out(
    day: date, start_min: int, *, is_refused: bool
) -> None:
    """From that minute on is fine; weekends have no school."""
    words = words_of(earliest_start, make_case(SCHOOL, day=day, start_min=start_min))
    assert words == (
        "U12 Kestrels begin at 17:00 at the earliest, from Monday to Friday." if is_refused else ""
    )


def test_adults_matches_and_hires_pass() -> None:
    """With or without an ask, the young alone are at school."""
    early: dict[str, Any] = {"start_min": 540}
    assert earliest_start(make_case(SCHOOL, ask=None, **early)) is not None
    assert earliest_start(make_case(SCHOOL, squad=LARKS, **early)) is None
    assert earliest_start(make_match(SCHOOL, **early)) is None
    assert earliest_start(make_hire(SCHOOL, **early)) is None
