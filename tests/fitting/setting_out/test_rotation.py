"""Turns of play are fair."""

from __future__ import annotations

from collections import Counter

import pytest

from clubplanner.fitting import plan_rotation
from clubplanner.fitting.setting_out.rotation import MOST_TURNS

CASES = [(sides, games) for sides in range(2, 16) for games in range(1, sides // 2 + 1)]


@pytest.mark.parametrize(("sides", "games"), CASES)
def test_every_side_plays_equally_often(sides: int, games: int) -> None:
    """Over all turns each side plays as often as any other, never twice in one turn."""
    rotation = plan_rotation(sides, games, 4)
    played: Counter[int] = Counter()
    for turn in rotation.turns:
        busy = [side for match in turn for side in match]
        assert len(busy) == len(set(busy)) == 2 * games
        played.update(busy)
    assert set(played) == set(range(1, sides + 1))
    assert set(played.values()) == {rotation.plays_minutes // 4}
    assert rotation.plays_minutes + rotation.rests_minutes == 4 * len(rotation.turns)
    assert len(rotation.turns) <= max(MOST_TURNS, sides)


@pytest.mark.parametrize("sides", [3, 4, 5])
def test_few_sides_all_meet(sides: int) -> None:
    """With one game and up to five sides everybody plays everybody once."""
    matches = [match for turn in plan_rotation(sides, 1, 4).turns for match in turn]
    assert len(matches) == len(set(matches)) == sides * (sides - 1) // 2


def test_nobody_rests_long_when_four_sides_share_one_game() -> None:
    """Of four sides none rests more than two turns in a row."""
    turns = plan_rotation(4, 1, 4).turns
    for side in range(1, 5):
        rests = "".join(" " if any(side in match for match in turn) else "x" for turn in turns)
        assert "xxx" not in rests


def test_words_name_who_plays_and_who_rests() -> None:
    """The turns and the minutes are told in words."""
    rotation = plan_rotation(3, 1, 5)
    assert rotation.lines == (
        "Turn 1: side 1 v side 2; side 3 rests.",
        "Turn 2: side 1 v side 3; side 2 rests.",
        "Turn 3: side 2 v side 3; side 1 rests.",
    )
    assert rotation.summary == "3 turns of 5 minutes: every side plays 10 and rests 5 minutes."
    assert plan_rotation(4, 1, 4).lines[0] == "Turn 1: side 1 v side 2; sides 3 and 4 rest."
    assert plan_rotation(4, 2, 4).lines[0] == "Turn 1: side 1 v side 2, side 3 v side 4."


def test_too_few_sides_are_refused() -> None:
    """Three sides cannot fill two games."""
    with pytest.raises(ValueError, match="3 sides"):
        plan_rotation(3, 2, 4)
