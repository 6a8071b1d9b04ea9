"""Sizes for games of n against n, from published practice areas."""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import median
from typing import TYPE_CHECKING

from clubplanner.domain.ground.formats import sure_in_words
from clubplanner.language import _

if TYPE_CHECKING:
    from clubplanner.fitting.setting_out.formats import PracticeBand
    from clubplanner.fitting.setting_out.ways import SessionNeed


_ADULT_SIDE = 11
_ROUNDED = 0.99
"""Sizes are rounded to a tenth of a metre, so their ground may differ by this much."""
NARROWEST_M = 3.0
"""Nobody plays on a strip narrower than this (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Choice:
    """A size for a game and where it comes from.

    Attributes:
        size_m: (length, width).
        source: Whose size it is, in words; blank where nobody published it.
        is_whole_ground: Whether it is the largest game the ground holds.
        is_of_age: Whether it would be larger still, were it not for the age group.
    """

    size_m: tuple[float, float]
    source: str
    is_whole_ground: bool = False
    is_of_age: bool = False


def sizes_for(need: SessionNeed, side: int) -> list[Choice]:
    """List the sizes to try for games of so many a side.

    Args:
        need: The coach's question; a size given there is the only one.
        side: Outfield players of the smaller side, 1 or more.

    Returns:
        The largest first; empty when nothing is published to go by.
    """
    if need.size_m is not None:
        return [Choice(need.size_m, _("the size you gave"))]
    largest = max((band.side for band in need.bands), default=0)
    known = min(side, largest)
    scale = math.sqrt(side / known) if known else 1.0
    most_m2 = 2 * side * (most_m2_each(need) or math.inf)
    found: dict[tuple[float, float], str] = {}
    for band in reversed(need.bands):
        for width, length in band.sizes_m if band.side == known else ():
            less = min(1.0, math.sqrt(most_m2 / (width * length * scale**2)))
            size = round(length * scale * less, 1), round(width * scale * less, 1)
            found[size] = _source(need, band, scale, is_less=less < 1.0)
    return [
        Choice(size, found[size])
        for size in sorted(found, key=lambda size: (-size[0] * size[1], size))
    ]


def has_published_area(need: SessionNeed, pair: tuple[int, int], area_m2: float) -> bool:
    """Tell whether a game's ground lies within what is published for its numbers.

    Args:
        need: The coach's question, with its bands.
        pair: Outfield players of the two sides.
        area_m2: The game's ground.

    Returns:
        Whether the ground is at least the smallest for the smaller side and at most the largest
        for the larger side, the ends of the range included; False when nothing is published.
    """
    least, most = _areas(need.bands, min(pair)), _areas(need.bands, max(pair))
    if not least or not most:
        return False
    each = most_m2_each(need) or math.inf
    low = min(least[0], 2 * min(pair) * each)
    high = min(most[-1], 2 * max(pair) * each)
    return _ROUNDED * low - 0.5 <= area_m2 <= high / _ROUNDED + 0.5


def most_m2_each(need: SessionNeed) -> float | None:
    """Return the most ground for each player that a match of the age group gives.

    Its pitch, without run-off, is divided among all who are on it, goalkeepers counted: no session
    spreads children out further than their own match does (common practice; the pitch's size is
    that of its table).

    Args:
        need: The coach's question, with the form of the game that the age group plays.

    Returns:
        Square metres for each player; None for adults and where no table knows the age.
    """
    match = need.match
    if match is None:
        return None
    each = match.length_m * match.width_m / (2 * match.players_a_side)
    tightest = tightest_band(need)
    return each if tightest is None else max(each, tightest[0])


def most_a_side(need: SessionNeed) -> int | None:
    """Return the most players a side of a match of the age group; None where none is known."""
    return None if need.match is None else need.match.players_a_side


def is_for_children(need: SessionNeed) -> bool:
    """Tell whether the age group's own match has fewer than eleven a side."""
    return need.match is not None and need.match.players_a_side < _ADULT_SIDE


def tightest_band(need: SessionNeed) -> tuple[float, str] | None:
    """Return the least ground published for each outfield player of any game, and by whom.

    Args:
        need: The coach's question, with its bands.

    Returns:
        Square metres for each player and the source; None when nothing is published.
    """
    offers = [(math.prod(band.sizes_m[0]) / (2 * band.side), band.source) for band in need.bands]
    return min(offers, default=None)


def is_room_for(need: SessionNeed, side: int, size_m: tuple[float, float]) -> bool:
    """Tell whether a ground is large enough to be called one for a game.

    Below the least ground for each player of any published practice area no game is offered,
    and none on a strip narrower than `NARROWEST_M`.

    Args:
        need: The coach's question, with its bands.
        side: Outfield players of the smaller side.
        size_m: Length and width of the game.
    """
    tightest = tightest_band(need)
    least_m2 = 2 * side * tightest[0] if tightest else 0.0
    return min(size_m) >= NARROWEST_M and math.prod(size_m) >= least_m2 - 0.5


def published_m2_each(need: SessionNeed, side: int) -> tuple[float, float] | None:
    """Return the least and most ground published for each outfield player of a level game.

    Args:
        need: The coach's question, with its bands.
        side: Outfield players of each side; beyond the largest published its figures are taken.

    Returns:
        Square metres for each player; None when nothing is published.
    """
    areas = _areas(need.bands, side)
    return (areas[0] / (2 * side), areas[-1] / (2 * side)) if areas else None


def usual_m2(bands: tuple[PracticeBand, ...], players: int, goalkeepers: int) -> float:
    """Return about how much ground so many need for games of equal sides.

    It is the middle of what is published for an outfield player of such sides, and no rule of
    anybody's: the published figures lie wide apart, and say nothing about children.

    Args:
        bands: Published practice areas.
        players: Who comes, goalkeepers among them.
        goalkeepers: Of them; they are given no ground of their own.

    Returns:
        Square metres; 0 when nothing is published or nobody comes.
    """
    outfield = max(0, players - goalkeepers)
    side = math.ceil(outfield / 2)
    areas = _areas(bands, side) if side else []
    return outfield * median(areas) / (2 * side) if areas else 0.0


def _areas(bands: tuple[PracticeBand, ...], side: int) -> list[float]:
    """List published areas of a side, scaled beyond the largest side published; rising."""
    known = min(side, max((band.side for band in bands), default=0))
    return sorted(
        width * length * side / known
        for band in bands
        if band.side == known
        for width, length in band.sizes_m
    )


def _source(need: SessionNeed, band: PracticeBand, scale: float, *, is_less: bool) -> str:
    if is_less and need.match is not None:
        return _(
            "as much for each as in a match of their age, %(code)s of %(body)s",
            code=need.match.code,
            body=need.match.body,
        )
    words = ", ".join(filter(None, (band.source, sure_in_words(band.standing))))
    if scale == 1.0:
        return _("%(words)s for %(side)s v %(side)s", words=words, side=band.side)
    return _("scaled from %(side)s v %(side)s of %(words)s", side=band.side, words=words)
