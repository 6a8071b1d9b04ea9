"""The book of rules: every rule's file is in it, and no mask speaks for two rules."""

from __future__ import annotations

import importlib
import pkgutil

from clubplanner.sharing import rules
from clubplanner.sharing.rules.book import RULES, bit_of, rule_of
from clubplanner.sharing.rules.rule import Rule

HELPERS = {"persons"}
"""Modules in the rooms of rules that are no rule."""
WITHOUT_MASK = {"asked_times"}
"""Rules that list what may be, so that there is nothing to mark."""


def test_every_file_of_a_rule_is_in_the_book() -> None:
    """A rule that is written and forgotten would be kept by nobody."""
    found: list[Rule] = []
    for room in ("times", "ground", "people"):
        package = importlib.import_module(f"{rules.__name__}.{room}")
        for module in pkgutil.iter_modules(package.__path__):
            loaded = importlib.import_module(f"{package.__name__}.{module.name}")
            own = [item for item in vars(loaded).values() if isinstance(item, Rule)]
            assert bool(own) is (module.name not in HELPERS | WITHOUT_MASK), module.name
            found += own
    assert len(found) == len(RULES)
    assert all(rule in RULES for rule in found)


def test_every_rule_has_a_bit_of_its_own() -> None:
    """Sets of broken rules are sums of bits."""
    assert [rule_of(rule.code) for rule in RULES] == list(RULES)
    bits = [bit_of(rule) for rule in RULES]
    assert sum(bits) == (1 << len(RULES)) - 1


def test_what_a_rule_needs_to_be_told_it_has() -> None:
    """One with a mask has words, one about whole plans tells why not and which rows count."""
    for rule in RULES:
        marks = (rule.on_ground, rule.on_place, rule.on_ask)
        assert (rule.words is not None) is any(mark is not None for mark in marks)
        assert (rule.too_many is None) is (rule.counted is None)
        has_days = rule.too_many is not None or rule.barred_days is not None
        assert (rule.why_not is not None) is has_days
        if rule.on_place is not None:
            assert rule.binds_pins
            assert rule.words is not None
            assert rule.words.of_pin is not None
