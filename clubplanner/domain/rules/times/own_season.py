"""Own season: some squads begin later or end earlier than the club."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.domain.rules.case import Hindrance
from clubplanner.domain.times.times import day_in_words
from clubplanner.language import _, marked

if TYPE_CHECKING:
    from clubplanner.domain.rules.case import Case

NAME = marked("own season")


def own_season(case: Case) -> Hindrance | None:
    """Refuse a training outside the squad's own season."""
    if not case.is_training or case.squad is None:
        return None
    season = case.scene.seasons.get(case.squad.key)
    if season is None or season.has(case.day):
        return None
    if season.starts_on is not None and case.day < season.starts_on:
        words = _(
            "%(squad)s begin training on %(day)s.",
            squad=case.holder,
            day=day_in_words(season.starts_on),
        )
    else:
        words = _(
            "%(squad)s ended training on %(day)s.",
            squad=case.holder,
            day="" if season.ends_on is None else day_in_words(season.ends_on),
        )
    return Hindrance(NAME, words)
