"""The rule of breaks."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from clubplanner.domain.rules.times.breaks import breaks
from clubplanner.domain.times.seasons import Break
from tests.domain.rules.builders import make_case, make_hire, make_match, make_scene, words_of

SCENE = make_scene(breaks=(Break("Camp", date(2026, 11, 24), date(2026, 11, 26)),))


@pytest.mark.parametrize(
    ("day", "is_refused"), [(23, False), (24, True), (25, True), (26, True), (27, False)]
)
def test_no_training_from_the_first_date_to_the_last(day: int, *, is_refused: bool) -> None:
    """Both ends of a break belong to it; the days round it do not."""
    words = words_of(breaks, make_case(SCENE, day=date(2026, 11, day)))
    assert words == (
        "Camp, Tue 24 Nov to Thu 26 Nov: there is no training then." if is_refused else ""
    )


def test_the_date_is_that_on_which_it_begins() -> None:
    """A session over midnight belongs to its evening."""
    late: dict[str, Any] = {"start_min": 1380, "end_min": 1500}
    assert breaks(make_case(SCENE, day=date(2026, 11, 23), **late)) is None
    assert breaks(make_case(SCENE, day=date(2026, 11, 26), **late)) is not None


def test_matches_and_hires_go_on() -> None:
    """A break is about training, with or without an ask."""
    assert breaks(make_match(SCENE)) is None
    assert breaks(make_hire(SCENE)) is None
    assert breaks(make_case(SCENE, ask=None)) is not None
