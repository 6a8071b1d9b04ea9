"""Rows of equal pieces across a ground: rows of one height, or of two, chosen among many."""

from __future__ import annotations

import math
from bisect import bisect_left
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

from clubplanner.fitting.packing.spans import MANY_EDGES, TOUCH_M

if TYPE_CHECKING:
    from collections.abc import Iterator

    from clubplanner.fitting.packing.bands import Bands

Spot: TypeAlias = tuple[float, float, bool]
"""Lower left corner in the turned frame, and whether the length lies along y."""
_MOST_LEVELS = 40
_SHIFTS = 8
"""So many places to start rows from are tried on a curve, beside the middle."""


@dataclass(frozen=True, slots=True)
class _Run:
    """Pieces side by side: where the first is, how many, from one to the next, and room left."""

    start: float
    count: int
    step: float
    slack: float

    def spots(self, y: float, is_standing: bool) -> list[Spot]:
        return [(self.start + n * self.step, y, is_standing) for n in range(self.count)]


def pack_rows(
    ground: Bands, size_m: tuple[float, float], gap_m: float, part: float
) -> tuple[list[Spot], list[Spot]]:
    """Lay rows of pieces across the ground, choosing the rows by dynamic programming.

    Returns:
        The spots of the best rows, and every spot that was looked at.
    """
    levels = _levels(ground, size_m, gap_m, round(_MOST_LEVELS * part))
    count = [0] * (len(levels) + 1)
    chosen: list[tuple[list[Spot], int] | None] = [None] * len(levels)
    seen: list[Spot] = []
    for number in range(len(levels) - 1, -1, -1):
        count[number] = count[number + 1]
        for is_standing in (False, True):
            runs = list(_runs(ground, levels[number], is_standing, size_m, gap_m))
            row = [spot for run in runs for spot in run.spots(levels[number], is_standing)]
            seen += row
            seen += [
                (x + run.slack, y, turn)
                for run in runs
                if run.slack > TOUCH_M
                for x, y, turn in run.spots(levels[number], is_standing)
            ]
            height = size_m[0] if is_standing else size_m[1]
            after = bisect_left(levels, levels[number] + height + gap_m - TOUCH_M)
            if len(row) + count[after] > count[number]:
                count[number], chosen[number] = len(row) + count[after], (row, after)
    best: list[Spot] = []
    number = 0
    while number < len(levels):
        pick = chosen[number]
        if pick is None or count[number] == count[number + 1]:
            number += 1
            continue
        best += pick[0]
        number = pick[1]
    return best, seen


def stack_rows(
    ground: Bands,
    is_standing: bool,
    size_m: tuple[float, float],
    gap_m: float,
    bound: int,
) -> list[Spot]:
    """Lay equal rows one above the other, from where that holds the most pieces.

    Round ground holds the most in rows that lie even about its middle, or next to that.
    """
    step = (size_m[0] if is_standing else size_m[1]) + gap_m
    best, most = ground.low, 0
    for start in _starts(ground, step - gap_m, gap_m):
        count = sum(
            run.count
            for y in _rising(ground, start, step, gap_m)
            for run in _runs(ground, y, is_standing, size_m, gap_m)
        )
        if count > most:
            best, most = start, count
        if most >= bound:
            break
    return [
        spot
        for y in _rising(ground, best, step, gap_m)
        for run in _runs(ground, y, is_standing, size_m, gap_m)
        for spot in run.spots(y, is_standing)
    ]


def _starts(ground: Bands, height: float, gap_m: float) -> dict[float, None]:
    """List where the lowest row may begin: at either edge, or even about the middle."""
    step, middle = height + gap_m, (ground.low + ground.high) / 2
    anchors = [ground.low, middle - height / 2, middle + gap_m / 2, ground.high - height]
    if len(ground.edges) > MANY_EDGES:
        anchors += [ground.low + step * n / _SHIFTS for n in range(1, _SHIFTS)]
    return dict.fromkeys(round(ground.low + (anchor - ground.low) % step, 6) for anchor in anchors)


def _rising(ground: Bands, start: float, step: float, gap_m: float) -> list[float]:
    count = int((ground.high - start + gap_m + TOUCH_M) / step)
    return [start + number * step for number in range(count)]


def _runs(
    ground: Bands, y: float, is_standing: bool, size_m: tuple[float, float], gap_m: float
) -> Iterator[_Run]:
    """Fill one row from the left."""
    extent, height = size_m[::-1] if is_standing else size_m
    step = extent + gap_m
    start = -math.inf
    for left, right in ground.free(y, y + height):
        start = max(left, start)
        count = int((right - start + gap_m + TOUCH_M) / step)
        if count > 0:
            yield _Run(start, count, step, max(right - start - count * step + gap_m, 0.0))
            start += count * step


def _levels(ground: Bands, size_m: tuple[float, float], gap_m: float, most: int) -> list[float]:
    """List heights at which a row may start: at corners, and whole rows above or below them."""
    corners = sorted({round(y, 4) for edge in ground.edges for y in (edge[1], edge[3])})
    low, high = corners[0], corners[-1]
    steps = sorted({size_m[0] + gap_m, size_m[1] + gap_m})
    found: dict[float, None] = dict.fromkeys(corners)
    for corner in corners:
        for step in steps:
            found.setdefault(round(corner - step + gap_m, 4), None)
    frontier = list(found)
    while frontier and len(found) < most:
        frontier = [
            level
            for base in frontier
            for move in (*steps, *(-step for step in steps))
            if low <= (level := round(base + move, 4)) <= high and level not in found
        ]
        found.update(dict.fromkeys(frontier))
    least = high - min(size_m) + TOUCH_M
    usable = [level for level in found if low - TOUCH_M <= level <= least]
    return sorted(usable[:most])
