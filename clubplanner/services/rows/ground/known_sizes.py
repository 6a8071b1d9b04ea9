"""The published sizes of games, alone and beside a club's own; no records are needed for them."""

from __future__ import annotations

import re
from functools import cache
from typing import TYPE_CHECKING

from clubplanner.fitting.setting_out.formats import parse_formats, parse_practice_bands
from clubplanner.resources import published_table

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import date

    from clubplanner.domain.ground.formats import GameFormat
    from clubplanner.fitting.setting_out.formats import PracticeBand


@cache
def published_formats() -> tuple[GameFormat, ...]:
    """Return the formats of the published tables."""
    return parse_formats(published_table("formats.csv"))


@cache
def published_bands() -> tuple[PracticeBand, ...]:
    """Return the sizes of practice areas of the published table."""
    return parse_practice_bands(published_table("practice_areas.csv"))


def with_published(own: Sequence[GameFormat], on: date | None = None) -> tuple[GameFormat, ...]:
    """Add the published formats whose code is not taken.

    Args:
        own: The club's own formats.
        on: The date for which ages are asked; None where a format is meant by its code alone,
            whose size is the same in all seasons.

    Returns:
        One format a code.
    """
    found = {game.code: game for game in own}
    for game in published_formats():
        if on is None or game.is_valid_on(on):
            found.setdefault(game.code, game)
    return tuple(found.values())


def format_codes(formats: Iterable[GameFormat]) -> tuple[str, ...]:
    """Return the codes of formats, those of the fewest players first."""
    codes = {game.code for game in formats}
    return tuple(
        sorted(codes, key=lambda code: (int((re.findall(r"\d+", code) or ["0"])[0]), code))
    )
