"""The checker's list of rules agrees with the book of rules, which it does not look at."""

from __future__ import annotations

from clubplanner.sharing.checks.rules_told import PIN_RULES, PLACE_RULES
from clubplanner.sharing.rules.book import RULES


def test_the_order_of_rules_is_that_of_the_book() -> None:
    """Whatever rule a place can break by itself is known to the checker, in the book's order."""
    told = [rule for rule in RULES if rule.words is not None]
    assert list(PLACE_RULES) == [rule.code for rule in told]
    of_pins = [rule.code for rule in told if rule.words and rule.words.of_pin is not None]
    assert list(PIN_RULES) == of_pins
