"""Helpers of the model: moments that matter, and ground that goes side by side."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

WHOLE = 120
"""A whole pitch in the units of the weights here: a twelfth is ten."""
_MOST_STEPS = 20_000


def moments(ranges: Iterable[tuple[int, int]]) -> list[int]:
    """Pick the moments at which a rule about simultaneous use has to be written down.

    A start counts when some range ends after it and no later than the next start; the ranges open
    at any other moment are all open at one of these as well.

    Args:
        ranges: Half-open ranges, none empty.

    Returns:
        The moments in order.
    """
    known = list(ranges)
    starts = sorted({start for start, _ in known})
    ends = sorted({end for _, end in known})
    picked: list[int] = []
    place = 0
    for n, start in enumerate(starts):
        while place < len(ends) and ends[place] <= start:
            place += 1
        is_last = n == len(starts) - 1
        if is_last or (place < len(ends) and ends[place] <= starts[n + 1]):
            picked.append(start)
    return picked


def most_side_by_side(parts: Sequence[tuple[int, int]], enough: int | None = None) -> int | None:
    """Find the greatest weight of parts of a pitch that share no cell.

    Args:
        parts: Cells (bit mask) and weight of each part.
        enough: Stop once more than this is reached; None for never.

    Returns:
        The weight, or a weight above enough; None when there are too many ways to look through.
    """
    heaviest: dict[int, int] = {}
    for cells, weight in parts:
        heaviest[cells] = max(weight, heaviest.get(cells, 0))
    order = sorted(heaviest.items(), key=lambda part: (-part[1], part[0]))
    rest = [0] * (len(order) + 1)
    for n in range(len(order) - 1, -1, -1):
        rest[n] = rest[n + 1] + order[n][1]
    best = 0
    stack = [(0, 0, 0)]
    for _ in range(_MOST_STEPS):
        if not stack or (enough is not None and best > enough):
            return best
        place, used, weight = stack.pop()
        best = max(best, weight)
        if place == len(order) or weight + rest[place] <= best:
            continue
        cells, own = order[place]
        stack.append((place + 1, used, weight))
        if not cells & used:
            stack.append((place + 1, used | cells, weight + own))
    return best if not stack else None


def cell_groups(masks: Sequence[int]) -> list[list[int]]:
    """Gather the parts that meet in a cell.

    Args:
        masks: Cells of each part.

    Returns:
        Groups of numbers of parts with a common cell, none within another, each of two or more.
    """
    found: set[frozenset[int]] = set()
    union = 0
    for mask in masks:
        union |= mask
    while union:
        cell = union & -union
        union ^= cell
        found.add(frozenset(n for n, mask in enumerate(masks) if mask & cell))
    groups = [group for group in found if len(group) > 1 and not any(group < o for o in found)]
    return sorted(sorted(group) for group in groups)


def pitch_weights(
    cells: Sequence[int], shares: Sequence[int | None], sizes: Sequence[float]
) -> list[int]:
    """Weigh the grounds of a pitch so that grounds side by side never weigh more than `WHOLE`.

    Equal parts weigh their twelfths. Other ground weighs its size rounded down; where that would
    not hold (a part drawn over several cuts of unlike ground), it weighs nothing, and where the
    shares themselves do not hold, nothing does.

    Args:
        cells: Cells of each ground.
        shares: Twelfths of each, or None.
        sizes: Size of each as a share of the pitch.

    Returns:
        A weight for each.
    """
    equal = [0 if share is None else share * 10 for share in shares]
    full = [own or int(size * WHOLE + 1e-6) for own, size in zip(equal, sizes, strict=True)]
    for weights in (full, equal):
        total = most_side_by_side(list(zip(cells, weights, strict=True)), WHOLE)
        if total is not None and total <= WHOLE:
            return weights
    return [0] * len(cells)
