"""The part `[keep]` of the settings: whom to ask, and for how many days things are kept."""

from __future__ import annotations

import pytest

from clubplanner.domain.club.persons.keeping import (
    FEWEST_DAYS,
    MOST_DAYS,
    Keeping,
    Period,
    field_of,
)
from clubplanner.inputs.club_files.settings import LONGEST_STRETCH_DAYS, read_settings
from tests.small_club import SETTINGS


def test_what_is_left_out_is_as_usual() -> None:
    """A file may name one period and whom to ask."""
    read = read_settings(
        SETTINGS + '[keep]\nask = "the  secretary, 01632 960100"\nmails_days = 90\n', "club.toml"
    )
    assert read.problems == ()
    assert read.keeping == Keeping("the secretary, 01632 960100", mails_days=90)


def test_a_file_that_does_not_say_leaves_it_as_it_is() -> None:
    """Older files know nothing of it."""
    assert read_settings(SETTINGS, "club.toml").keeping is None


@pytest.mark.parametrize("period", Period)
def test_a_period_is_neither_too_short_nor_too_long(period: Period) -> None:
    """What is too much is told with what to write."""
    fewest = FEWEST_DAYS[period]
    for days in (fewest - 1, MOST_DAYS + 1):
        read = read_settings(f"{SETTINGS}[keep]\n{field_of(period)} = {days}\n", "club.toml")
        (problem,) = read.problems
        assert problem.where == f"club.toml, [keep] {field_of(period)}"
        assert f"write {fewest} to {MOST_DAYS}" in problem.message


def test_the_journal_is_kept_as_long_as_a_stretch_can_be() -> None:
    """So that what a stretch began with can be taken back while it runs."""
    assert FEWEST_DAYS[Period.JOURNAL] >= LONGEST_STRETCH_DAYS


def test_unknown_words_are_told() -> None:
    """A misspelled period keeps nothing longer in silence."""
    (problem,) = read_settings(f"{SETTINGS}[keep]\nmail_days = 90\n", "club.toml").problems
    assert problem.code == "unknown"
