"""How far apart a squad's trainings should lie, by how many there are."""

from __future__ import annotations

from itertools import combinations

import pytest

from clubplanner.domain.club.spread import (
    evening_weight,
    follow_each_other,
    fullness,
    least_nearness,
    nearness,
)

MONDAY_TO_FRIDAY = tuple(range(5))
WEEK = tuple(range(7))


def best_sets(days: tuple[int, ...], sessions: int) -> set[tuple[int, ...]]:
    """Return the sets of days that are worth most."""
    least = least_nearness(days, sessions, follow_each_other)
    return {
        chosen
        for chosen in combinations(days, sessions)
        if nearness(chosen, follow_each_other) == least
    }


def test_a_week_comes_again() -> None:
    """Sunday and Monday are neighbours, Monday and Wednesday are not."""
    assert follow_each_other(6, 0)
    assert follow_each_other(0, 6)
    assert not follow_each_other(0, 2)
    assert not follow_each_other(3, 3)


def test_two_and_three_have_a_day_between() -> None:
    """Two are on no neighbouring days; three of Monday to Friday are Monday, Wednesday, Friday."""
    assert best_sets(MONDAY_TO_FRIDAY, 2) == {(0, 2), (0, 3), (0, 4), (1, 3), (1, 4), (2, 4)}
    assert best_sets(MONDAY_TO_FRIDAY, 3) == {(0, 2, 4)}


def test_where_days_are_few_two_in_a_row_are_better_than_three() -> None:
    """Four of Monday to Friday leave Wednesday free; three of Monday to Thursday are no row."""
    assert best_sets(MONDAY_TO_FRIDAY, 4) == {(0, 1, 3, 4)}
    assert best_sets((0, 1, 2, 3), 3) == {(0, 1, 3), (0, 2, 3)}


def test_five_of_a_whole_week_are_two_and_three() -> None:
    """No row of four, whichever days."""
    for chosen in best_sets(WEEK, 5):
        rows = [all((first + n) % 7 in chosen for n in range(4)) for first in WEEK]
        assert not any(rows)


@pytest.mark.parametrize("sessions", [1, 6, 7])
def test_one_six_and_seven_have_nothing_to_choose(sessions: int) -> None:
    """Every choice of days of a whole week is as good."""
    assert len(best_sets(WEEK, sessions)) == len(list(combinations(WEEK, sessions)))


def test_twice_on_a_day_is_no_way_out() -> None:
    """Two on one day are worse than on neighbouring days, and no better than three in a row."""
    twice = nearness((0, 0), follow_each_other)
    assert twice > nearness((0, 1), follow_each_other)
    assert twice == nearness((0, 1, 2), follow_each_other)


def test_the_emptier_evening_is_the_better_place() -> None:
    """Each further training counts more; a venue of four pitches holds four times as many alike."""
    one = evening_weight(1)
    assert [fullness(n, one) - fullness(n - 1, one) for n in (1, 2, 3)] == [60, 180, 300]
    assert 4 * evening_weight(4) == one
    assert evening_weight(300) == 1
