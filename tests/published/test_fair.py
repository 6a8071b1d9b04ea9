"""Measures of fairness against their published worked examples."""

from __future__ import annotations

from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clubplanner.domain.club.fair import (
    gini_coefficient,
    jain_index,
    max_min_shares,
    part_served,
    percent_served,
)

AMOUNTS = st.lists(st.floats(0, 1000), min_size=1, max_size=12)


def test_jains_index_of_the_report() -> None:
    """Jain, Chiu and Hawe, DEC-TR-301, 1984: (1, 3, 5) gives 0.7714."""
    assert jain_index((1, 3, 5)) == pytest.approx(0.7714, abs=5e-5)


@pytest.mark.parametrize(("having", "count"), list(product((1, 2, 5), (5, 10))))
def test_jains_index_when_some_have_all(having: int, count: int) -> None:
    """Same report: if k of n have the same and the rest nothing, the index is k/n."""
    assert jain_index([7.0] * having + [0.0] * (count - having)) == pytest.approx(having / count)


def test_gini_of_a_population() -> None:
    """A worked example of ten incomes on a public page, population form: 0.3836.

    Whose page it was is not kept; the definition itself is checked below, pair by pair.
    """
    incomes = (8, 22, 45, 85, 11, 35, 115, 40, 37, 28)
    assert gini_coefficient(incomes) == pytest.approx(0.3836, abs=5e-5)


def test_max_min_shares_of_the_book() -> None:
    """Keshav 1997, pp. 215-217: 10 among demands of 2, 2.6, 4 and 5 gives 2, 2.6, 2.7 and 2.7."""
    assert max_min_shares(10, (2, 2.6, 4, 5)) == pytest.approx((2, 2.6, 2.7, 2.7))
    assert max_min_shares(10, (5, 2, 4, 2.6)) == pytest.approx((2.7, 2, 2.7, 2.6))


@given(AMOUNTS)
def test_bounds_and_scale(amounts: list[float]) -> None:
    """Both measures stay in their bounds and do not care in which unit hours are counted."""
    count = len(amounts)
    jain, gini = jain_index(amounts), gini_coefficient(amounts)
    if jain is None or gini is None:
        assert (jain, gini, sum(amounts)) == (None, None, 0)
        return
    assert 1 / count - 1e-9 <= jain <= 1 + 1e-9
    assert -1e-9 <= gini <= 1 - 1 / count + 1e-9
    doubled = [2 * amount for amount in amounts]
    assert gini_coefficient(doubled) == pytest.approx(gini, abs=1e-9)


@given(AMOUNTS, st.floats(0, 3000))
def test_gini_is_half_the_mean_difference_over_the_mean(
    amounts: list[float], capacity: float
) -> None:
    """Against the definition, pair by pair; and nobody under the highest share goes short."""
    count, total = len(amounts), sum(amounts)
    differences = sum(abs(a - b) for a in amounts for b in amounts)
    gini = gini_coefficient(amounts)
    if total == 0:
        assert gini is None
    else:
        assert gini == pytest.approx(differences / (2 * count * total), abs=1e-6)
    shares = max_min_shares(capacity, amounts)
    assert sum(shares) == pytest.approx(min(capacity, total), rel=1e-6, abs=1e-6)
    most = max(shares)
    for share, amount in zip(shares, amounts, strict=True):
        assert share <= amount + 1e-6
        assert share >= min(amount, most) - 1e-6


@pytest.mark.parametrize("shares", [(), (0,), (0, 0)])
def test_where_nothing_was_shared_out_nothing_is_even(shares: tuple[float, ...]) -> None:
    """Both measures divide by what all have together: for nobody or nothing they say nothing.

    Jain, Chiu and Hawe 1984 define (sum x)² / (n sum x²); the Gini coefficient divides by the mean.
    """
    assert jain_index(shares) is None
    assert gini_coefficient(shares) is None
    assert max_min_shares(5, shares) == shares


def test_who_asked_and_had_nothing_is_served_nought() -> None:
    """Nothing of something is 0; something of nothing asked for is no share at all."""
    assert (part_served(0, 4), part_served(3, 4), part_served(5, 4)) == (0, 0.75, 1.25)
    assert part_served(0, 0) is None
    assert part_served(2, 0) is None
    assert (percent_served(2, 3), percent_served(0, 3), percent_served(0, 0)) == (66, 0, 0)
    assert percent_served(50, 0) == 100, "put there by hand where the rules left no place"
