"""The rule of the latest finish."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

from clubplanner.domain.club.sharing_rules import AgeRule, SharingRules
from clubplanner.domain.rules.times.latest_finish import latest_finish
from tests.builders import make_ask
from tests.domain.rules.builders import (
    CHANGES,
    LARKS,
    make_case,
    make_hire,
    make_match,
    make_scene,
    words_of,
)

if TYPE_CHECKING:
    from datetime import date

YOUNG = make_scene(rules=SharingRules(ages=(AgeRule(12, latest_finish_min=1170),)))


@pytest.mark.parametrize(
    ("end_min", "asked", "words"),
    [
        (1170, None, ""),
        (1171, None, "U12 Kestrels are to finish by 19:30."),
        (1171, 1200, "U12 Kestrels are to finish by 19:30."),  # the table is earlier
        (1141, 1140, "U12 Kestrels are to finish by 19:00."),  # the ask is earlier
        (1140, 1140, ""),
    ],
)
def test_the_earlier_of_table_and_ask_counts(end_min: int, asked: int | None, words: str) -> None:
    """A session may end at that minute, and not one later."""
    case = make_case(YOUNG, end_min=end_min, ask=make_ask(latest_finish_min=asked))
    assert words_of(latest_finish, case) == words


def test_without_an_ask_the_table_counts_alone() -> None:
    """And neither for adults, for a match, nor for a hirer."""
    late: dict[str, Any] = {"end_min": 1290}
    assert latest_finish(make_case(YOUNG, ask=None, **late)) is not None
    assert latest_finish(make_case(YOUNG, squad=LARKS, **late)) is None
    assert latest_finish(make_match(YOUNG, **late)) is None
    assert latest_finish(make_hire(YOUNG, **late)) is None


def test_past_midnight_is_late() -> None:
    """A quarter past twelve is no early finish."""
    assert latest_finish(make_case(YOUNG, start_min=1380, end_min=1455)) is not None


@pytest.mark.parametrize("day", CHANGES)
def test_the_wall_clock_counts_on_days_of_change(day: date) -> None:
    """Half past seven is half past seven."""
    assert latest_finish(make_case(YOUNG, day=day, start_min=30, end_min=1170)) is None
    assert latest_finish(make_case(YOUNG, day=day, start_min=30, end_min=1171)) is not None
