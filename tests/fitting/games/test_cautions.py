"""Cautions name the danger and defer to those who know the place."""

from __future__ import annotations

import pytest

from clubplanner.domain.ground.grounds import GoalKind
from clubplanner.fitting import GoalSpot, adults_needed, cautions

FIXED = GoalSpot(0, 32, 7.32, GoalKind.FIXED)
PORTABLE = GoalSpot(10, 10, 3.66, GoalKind.PORTABLE)


@pytest.mark.parametrize(("goals", "portable"), [((), 2), ((PORTABLE,), 0), ((FIXED, PORTABLE), 0)])
def test_portable_goals_must_be_anchored(goals: tuple[GoalSpot, ...], portable: int) -> None:
    """Wherever a portable goal may be used, anchoring comes first."""
    found = cautions(13, 14, goals, portable)
    assert found[0].startswith("Anchor every portable goal")
    assert any("locked store" in line for line in found)


def test_fixed_goals_are_checked_too() -> None:
    """Ground with fixed goals only asks to check them, without words on carrying."""
    found = cautions(13, 14, (FIXED,))
    assert found[0].startswith("Check that each goal stands firm")
    assert not any("portable" in line for line in found)


def test_small_target_goals_have_their_own_caution() -> None:
    """Small target goals are pegged or weighted; without any nothing is said of them."""
    assert any(line.startswith("Small target goals") for line in cautions(13, 14, (), 0, 2))
    assert not any("Small target goals" in line for line in cautions(13, 14, (), 2))


def test_always_run_off_and_always_deferring() -> None:
    """Run-off is always named, and the last word is with local rules and qualified people."""
    for age in (None, 8, 13):
        found = cautions(age, 14)
        assert any("run-off" in line for line in found)
        assert "qualified person" in found[-1]
        assert "rules" in found[-1]


def test_adults_are_named_for_children_only() -> None:
    """Under 13s are taken as twelve-year-olds; adults need no supervision."""
    assert any("at least 2 suitable adults for 14" in line for line in cautions(13, 14))
    assert any("at least 3 suitable adults for 24" in line for line in cautions(13, 24))
    assert any("adults for 1 player of" in line for line in cautions(8, 1))
    assert not any("adults for" in line for line in cautions(None, 24))


def test_lightning_is_left_out_indoors() -> None:
    """Under a roof nothing is said about lightning."""
    assert any("Lightning" in line for line in cautions(13, 14))
    assert not any("Lightning" in line for line in cautions(13, 14, is_indoor=True))


@pytest.mark.parametrize("is_indoor", [False, True])
@pytest.mark.parametrize("age", [None, 8])
def test_first_aid_is_always_thought_of(age: int | None, *, is_indoor: bool) -> None:
    """First aid is named for all ages, indoors and out, without a figure."""
    (line,) = (line for line in cautions(age, 14, is_indoor=is_indoor) if "First aid" in line)
    assert "defibrillator" in line
    assert line.endswith("(common practice, no source).")


def test_heat_and_frost_are_named_outdoors_only() -> None:
    """Heat and frozen ground are cautions under the open sky only, once each."""
    found = cautions(13, 14)
    for word in ("Heat: ", "Frost: "):
        (line,) = (line for line in found[:-1] if line.startswith(word))
        assert line.endswith("(common practice, no source).")
        assert not any(other.startswith(word) for other in cautions(13, 14, is_indoor=True))


def test_adults_are_never_fewer_than_two_and_ages_checked() -> None:
    """One child still needs two adults; grown-ups are not in the table; a negative age is none."""
    assert adults_needed(10, 1) == 2
    assert adults_needed(19, 30) is None
    assert adults_needed(2, 9) == 3  # where two bands meet the smaller group counts
    with pytest.raises(ValueError, match="0 or more"):
        adults_needed(-1, 5)
