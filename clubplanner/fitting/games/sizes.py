"""Sizes for games of n against n, from published practice areas."""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import median
from typing import TYPE_CHECKING

from clubplanner.language import _

if TYPE_CHECKING:
    from clubplanner.fitting.setting_out.formats import PracticeBand
    from clubplanner.fitting.setting_out.ways import SessionNeed


NARROWEST_M = 3.0
"""Nobody plays on a strip narrower than this (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Choice:
    """A size for a game and where it comes from.

    Attributes:
        size_m: (length, width).
        source: Whose size it is, in words; blank where nobody published it.
        is_whole_ground: Whether it is the largest game the ground holds.
    """

    size_m: tuple[float, float]
    source: str
    is_whole_ground: bool = False


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
    found = {
        (round(length * scale, 1), round(width * scale, 1)): _source(band, scale)
        for band in reversed(need.bands)
        for width, length in band.sizes_m
        if band.side == known
    }
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
    return least[0] - 0.5 <= area_m2 <= most[-1] + 0.5


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


def _source(band: PracticeBand, scale: float) -> str:
    sure = "" if band.standing == "read in the source" else f", {band.standing}"
    words = f"{band.source}{sure}"
    if scale == 1.0:
        return _("%(words)s for %(side)s v %(side)s", words=words, side=band.side)
    return _("scaled from %(side)s v %(side)s of %(words)s", side=band.side, words=words)
