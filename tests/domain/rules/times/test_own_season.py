"""The rule of a squad's own season."""

from __future__ import annotations

from datetime import date

import pytest

from clubplanner.domain.rules.times.own_season import own_season
from clubplanner.domain.times.year import SquadSeason
from tests.domain.rules.builders import (
    KESTRELS,
    LARKS,
    make_case,
    make_hire,
    make_match,
    make_scene,
    words_of,
)

SEASON = SquadSeason(date(2026, 11, 23), date(2026, 11, 27))
SCENE = make_scene(seasons={KESTRELS.key: SEASON})


@pytest.mark.parametrize(
    ("day", "words"),
    [
        (22, "U12 Kestrels begin training on Monday 23 November 2026."),
        (23, ""),
        (27, ""),
        (28, "U12 Kestrels ended training on Friday 27 November 2026."),
    ],
)
def test_training_lies_in_the_season(day: int, words: str) -> None:
    """First and last date belong to it."""
    assert words_of(own_season, make_case(SCENE, day=date(2026, 11, day))) == words


def test_an_open_end_is_no_end() -> None:
    """Who only begins late never ends, and the other way round."""
    late = make_scene(seasons={KESTRELS.key: SquadSeason(date(2026, 11, 1))})
    assert own_season(make_case(late, day=date(2027, 6, 1))) is None
    early = make_scene(seasons={KESTRELS.key: SquadSeason(None, date(2026, 12, 1))})
    assert own_season(make_case(early, day=date(2026, 1, 1))) is None


def test_others_matches_and_hires_pass() -> None:
    """The season is one squad's, and about its training."""
    day = date(2026, 12, 2)
    assert own_season(make_case(SCENE, day=day, squad=LARKS)) is None
    assert own_season(make_match(SCENE, day=day)) is None
    assert own_season(make_hire(SCENE, day=day)) is None
