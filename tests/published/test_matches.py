"""Forms, fields, goals and lengths of matches against what governing bodies publish."""

from __future__ import annotations

from dataclasses import replace

import pytest

from clubplanner.domain.ground.grounds import GoalKind
from clubplanner.domain.ground.plans import GoalPlan
from clubplanner.fitting.games.matches import Suits, find_match_length, grounds_for_match
from clubplanner.fitting.setting_out.formats import find_format
from clubplanner.geometry.shapes import rectangle
from clubplanner.services.evening.matches.fixture_rows import match_lengths
from clubplanner.services.rows.ground.known_sizes import published_formats
from tests.builders import make_pitch
from tests.fitting.shapes import SEASON_25

YARD, FOOT = 0.9144, 0.3048

# The FA, Goalpost and pitch sizes, FA Handbook 2016-17 p. 556: age, form, field in yards, goal in
# feet (height × width).
FIELDS = [
    (7, "5v5", (40, 30), (6, 12)),
    (10, "7v7", (60, 40), (6, 12)),
    (12, "9v9", (80, 50), (7, 16)),
    (14, "11v11-u14", (90, 55), (7, 21)),
    (16, "11v11-u16", (100, 60), (8, 24)),
    (None, "11v11", (110, 70), (8, 24)),
]

# Halves by age: FA Standard Code of Rules for Youth Competitions as youth leagues print it
# (20, 25, 30, 35, 40, 45 minutes); adults and the interval of at most 15 minutes: IFAB Laws of
# the Game 2024-25, Law 7.
HALVES = [(8, 20), (9, 25), (11, 30), (13, 35), (16, 40), (18, 45), (None, 45)]


@pytest.mark.parametrize(("age", "code", "yards", "feet"), FIELDS)
def test_each_age_has_its_form_and_exactly_its_field(
    age: int | None, code: str, yards: tuple[int, int], feet: tuple[int, int]
) -> None:
    """A pitch of the published size with the published goals suits fully; a tenth less nearly."""
    game = find_format(published_formats(), age, on=SEASON_25)
    assert game is not None
    assert game.code == code
    goals = GoalPlan("both ends", feet[1] * FOOT, feet[0] * FOOT, GoalKind.FIXED)
    length, width = yards[0] * YARD, yards[1] * YARD

    def suits(scale: float) -> list[Suits]:
        pitch = make_pitch(length_m=scale * length, width_m=scale * width, cuts=(), goals=(goals,))
        return [ground.suits for ground in grounds_for_match(pitch, game)]

    assert suits(1.0) == [Suits.FULLY]
    assert suits(0.93) == [Suits.NEARLY]
    assert suits(0.85) == []


@pytest.mark.parametrize(("age", "half"), HALVES)
def test_each_age_plays_its_length(age: int | None, half: int) -> None:
    """Two longest halves and the longest interval are kept free."""
    length = find_match_length(match_lengths(), age)
    assert length is not None
    assert (length.half_minutes, length.minutes) == (half, 2 * half + 15)


def test_nobody_below_the_table_gets_a_length() -> None:
    """The published table begins with under sevens."""
    assert find_match_length(match_lengths(), 5) is None


def test_goals_decide_too() -> None:
    """Without goals there is no match; portable ones are told to be anchored; near ones are told.

    Anchoring: The FA, goalpost safety guidelines.
    """
    game = next(g for g in published_formats() if g.code == "11v11-u14")
    none = make_pitch(cuts=(), goals=())
    assert grounds_for_match(none, game) == ()
    (brought,) = grounds_for_match(make_pitch(cuts=(), goals=(), portable_goals=2), game)
    assert "anchor them" in brought.cautions[0]
    full_size = make_pitch(cuts=())  # 7.32 × 2.44 m: IFAB Laws of the Game, Law 1
    (near,) = grounds_for_match(full_size, game)
    assert near.suits is Suits.NEARLY
    assert "7.32 × 2.44 m, not the 6.40 × 2.13 m published" in near.cautions[0]
    portable = GoalPlan("both ends", 21 * FOOT, 7 * FOOT, GoalKind.PORTABLE)
    (anchored,) = grounds_for_match(make_pitch(cuts=(), goals=(portable,)), game)
    assert (anchored.suits, anchored.cautions) == (
        Suits.FULLY,
        ("The goals are portable: anchor them, and check them before play.",),
    )


def test_what_stands_on_a_pitch_is_not_told_as_a_small_pitch() -> None:
    """Ground of the published size on which a hut stands is not called smaller than published."""
    game = next(g for g in published_formats() if g.code == "11v11")
    pitch = make_pitch(length_m=101.0, width_m=64.5, cuts=())
    (free,) = grounds_for_match(pitch, game)
    assert (free.suits, free.cautions) == (Suits.FULLY, ())
    hut = rectangle(0, 61, 4, 64.5)
    (kept,) = grounds_for_match(replace(pitch, obstacles=(hut,)), game)
    assert kept.suits is Suits.NEARLY
    assert "What stands on Whole of Top pitch leaves less than" in kept.cautions[0]
    (small,) = grounds_for_match(make_pitch(length_m=95.0, width_m=61.0, cuts=()), game)
    assert "Whole of Top pitch is smaller than" in small.cautions[0]
