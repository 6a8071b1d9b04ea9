"""The club's own rules for sharing out, by age and as they are kept."""

from __future__ import annotations

import json

import pytest

from clubplanner.domain.club.sharing_rules import (
    AgeRule,
    PitchLimit,
    SharingRules,
    rules_as_json,
    rules_from_json,
)

UNDER_9 = AgeRule(9, latest_finish_min=1140, wear_percent=50)
UNDER_12 = AgeRule(12, latest_finish_min=1200)


@pytest.mark.parametrize(
    ("age", "rule"), [(8, UNDER_9), (9, UNDER_9), (10, UNDER_12), (12, UNDER_12)]
)
def test_the_lowest_age_that_is_not_passed_counts(age: int, rule: AgeRule) -> None:
    """A squad of exactly the age is still under the rule, in whatever order rules are given."""
    assert SharingRules(ages=(UNDER_12, UNDER_9)).for_age(age) == rule
    assert SharingRules(ages=(UNDER_9, UNDER_12)).for_age(age) == rule


@pytest.mark.parametrize("age", [13, None])
def test_older_squads_and_adults_have_no_rule(age: int | None) -> None:
    """No latest finish, and a session counts whole against the limits of the grass."""
    rule = SharingRules(ages=(UNDER_9, UNDER_12)).for_age(age)
    assert rule.latest_finish_min is None
    assert rule.wear_percent == 100
    assert rule.up_to > 12


def test_what_is_left_out_limits_nothing() -> None:
    """A club that gives no numbers has no limits and no wish for tight evenings."""
    limit, rules = PitchLimit("Marsh Lane", "Top"), SharingRules()
    assert (limit.minutes, limit.sessions) == (None, None)
    assert (rules.ages, rules.limits) == ((), ())
    assert rules.wants_compact is False


@pytest.mark.parametrize("wants_compact", [True, False])
def test_kept_rules_come_back_as_they_were(wants_compact: bool) -> None:
    """Every number stays in its own place on the way into the records and back."""
    rules = SharingRules(
        ages=(AgeRule(9, 1140, 50), AgeRule(12, None, 80)),
        limits=(PitchLimit("Marsh Lane", "Top", 600, 9), PitchLimit("Mill", "Low", None, 4)),
        wants_compact=wants_compact,
    )
    kept = json.loads(json.dumps(rules_as_json(rules)))
    assert rules_from_json(kept) == rules


def test_records_of_earlier_versions_can_be_read() -> None:
    """The names in the records stay, or a club would lose its rules with an update."""
    kept: dict[str, object] = {
        "ages": [[9, 1140, 50]],
        "limits": [["Marsh Lane", "Top", 600, None]],
        "prices": [["Marsh Lane", "", 2000, 500]],
        "wants_compact": True,
    }
    rules = rules_from_json(kept)  # type: ignore[arg-type]
    assert rules.ages == (AgeRule(9, 1140, 50),)
    assert rules.limits == (PitchLimit("Marsh Lane", "Top", 600, None),)
    assert rules.wants_compact is True
    assert rules_from_json(json.loads(json.dumps(rules_as_json(rules)))) == rules
