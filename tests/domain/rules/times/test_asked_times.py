"""The rule of the times a squad asked for."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

from clubplanner.domain.rules.times.asked_times import asked_times
from tests.builders import A_WEDNESDAY, make_ask
from tests.domain.rules.builders import CHANGES, make_case, make_hire, make_match

if TYPE_CHECKING:
    from datetime import date

ASK = make_ask(possible="Wed 18:00-19:15; Fri 20:00-24:00; Sun 00:00-04:00")


@pytest.mark.parametrize(
    ("start_min", "end_min", "is_refused"),
    [(1080, 1155, False), (1079, 1155, True), (1080, 1156, True), (1080, 1090, False)],
)
def test_a_session_lies_wholly_in_a_window(
    start_min: int, end_min: int, *, is_refused: bool
) -> None:
    """Both ends may touch the window; it is the squad's own wish."""
    found = asked_times(make_case(ask=ASK, start_min=start_min, end_min=end_min))
    assert (found is not None) == is_refused
    if found is not None:
        assert found.is_own
        assert found.words.startswith("U12 Kestrels ask for Wed 18:00-19:15;")


def test_a_window_of_another_weekday_will_not_do() -> None:
    """Thursday is not Wednesday; a window up to midnight ends there."""
    assert asked_times(make_case(ask=ASK, day=A_WEDNESDAY.replace(day=26))) is not None
    friday: dict[str, Any] = {"ask": ASK, "day": A_WEDNESDAY.replace(day=27), "start_min": 1380}
    assert asked_times(make_case(**friday, end_min=1440)) is None
    assert asked_times(make_case(**friday, end_min=1470)) is not None


def test_the_time_a_session_has_already_will_do() -> None:
    """Only its ground changes."""
    case = make_case(ask=ASK, start_min=600, end_min=660)
    assert asked_times(case) is not None
    assert asked_times(make_case(ask=ASK, during=case.during, was=case.during)) is None


def test_who_asked_for_nothing_comes_at_any_time() -> None:
    """A match, a hirer, a squad without an ask."""
    for case in (make_match, make_hire):
        assert asked_times(case(start_min=600, end_min=660)) is None
    assert asked_times(make_case(ask=None, start_min=600, end_min=660)) is None


@pytest.mark.parametrize("day", CHANGES)
def test_the_wall_clock_counts_on_nights_of_change(day: date) -> None:
    """From midnight to four, however long that is."""
    assert asked_times(make_case(ask=ASK, day=day, start_min=0, end_min=240)) is None
    assert asked_times(make_case(ask=ASK, day=day, start_min=0, end_min=241)) is not None
