"""Kinds of ground against the published sizes that they stand for."""

from __future__ import annotations

import pytest

from clubplanner.services.setup.grounds.kinds import ground_kinds

YARD_M, FOOT_M = 0.9144, 0.3048


def kinds() -> dict[str, tuple[float, float, tuple[float, float] | None]]:
    """Return name → length, width and goal."""
    return {k.name: (k.length_m, k.width_m, k.goal_m) for k in ground_kinds()}


@pytest.mark.parametrize(
    ("name", "yards", "goal_ft"),
    [
        ("full-size grass pitch", (110, 70), (24, 8)),
        ("youth grass pitch (U15, U16)", (100, 60), (24, 8)),
        ("nine-a-side pitch", (80, 50), (16, 7)),
        ("seven-a-side pitch", (60, 40), (12, 6)),
        ("five-a-side pitch", (40, 30), (12, 6)),
    ],
)
def test_football_pitches_are_those_of_the_handbook(
    name: str, yards: tuple[int, int], goal_ft: tuple[int, int]
) -> None:
    """The FA, Goalpost and pitch sizes, FA Handbook 2016-17 p. 556: yards and feet."""
    length_m, width_m, goal_m = kinds()[name]
    assert (length_m, width_m) == pytest.approx((yards[0] * YARD_M, yards[1] * YARD_M))
    assert goal_m == pytest.approx((goal_ft[0] * FOOT_M, goal_ft[1] * FOOT_M))


def test_full_size_artificial_turf_and_law_1() -> None:
    """FA guidance: 100 × 64 m; IFAB Law 1: 90 to 120 × 45 to 90 m, goals of 7.32 × 2.44 m."""
    length_m, width_m, goal_m = kinds()["full-size artificial pitch"]
    assert (length_m, width_m) == (100, 64)
    assert goal_m == pytest.approx((7.32, 2.44), abs=0.005)
    for name in ("full-size artificial pitch", "full-size grass pitch"):
        assert 90 <= kinds()[name][0] <= 120
        assert 45 <= kinds()[name][1] <= 90


def test_halls() -> None:
    """Sport England 2011: courts 33 × 18 m; WA Government: handball 40 × 20 m, goal 3 × 2 m."""
    assert kinds()["four-court hall"] == (33, 18, None)
    assert kinds()["hall for futsal or handball"] == (40, 20, (3, 2))
