"""Splitting counts into turns: every slot once a turn, and turns in an order with few changes.

A square matrix of whole numbers whose rows and columns all add up to the same is a sum of that many
permutation matrices (G. Birkhoff, "Tres observaciones sobre el algebra lineal", 1946; for whole
numbers it follows from D. König's theorem of 1916 on regular bipartite graphs).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

Turn = tuple[int, ...]
"""For each squad the number of its slot."""


def perfect_matching(allowed: Sequence[Sequence[bool]]) -> Turn | None:
    """Give every row a column of its own among those allowed; None where that cannot be."""
    return _match(allowed)[0]


def too_few(allowed: Sequence[Sequence[bool]]) -> tuple[list[int], list[int]] | None:
    """Find rows that together have fewer columns than they are, and those columns.

    Such rows exist exactly when there is no perfect matching (P. Hall, "On Representatives of
    Subsets", 1935).
    """
    found, stuck = _match(allowed)
    if found is not None:
        return None
    columns = sorted({j for i in stuck for j, is_allowed in enumerate(allowed[i]) if is_allowed})
    return sorted(stuck), columns


def split(counts: Sequence[Sequence[int]], before: Sequence[int | None]) -> tuple[Turn, ...]:
    """Split counts into turns.

    Args:
        counts: How often each squad (row) takes each slot (column); all rows and columns add up to
            the same number of turns.
        before: The slot each squad has before the first turn, or None.

    Returns:
        The turns in an order in which few squads change slots; not proved to be the fewest.

    Raises:
        ValueError: If rows and columns do not all add up to the same.
    """
    sums = {sum(row) for row in counts} | {sum(column) for column in zip(*counts, strict=True)}
    if len(sums) > 1 or any(entry < 0 for row in counts for entry in row):
        raise ValueError("Each squad and each slot must have the same number of turns.")
    left = [list(row) for row in counts]
    blocks: list[tuple[Turn, int]] = []
    turns = sums.pop() if sums else 0
    while turns:
        turn, times = _longest(left, turns)
        for squad, slot in enumerate(turn):
            left[squad][slot] -= times
        blocks.append((turn, times))
        turns -= times
    ordered = _order([turn for turn, _ in blocks], before)
    return tuple(blocks[n][0] for n in ordered for _ in range(blocks[n][1]))


def changes(turns: Sequence[Turn], before: Sequence[int | None]) -> int:
    """Count how often a squad has another slot than the turn before."""
    last: Sequence[int | None] = before
    total = 0
    for turn in turns:
        total += _differences(last, turn)
        last = turn
    return total


def _match(allowed: Sequence[Sequence[bool]]) -> tuple[Turn | None, set[int]]:
    """Match rows one at a time along alternating paths; else return the rows of a stuck search."""
    owner: dict[int, int] = {}
    for row in range(len(allowed)):
        came: dict[int, int] = {}
        queue = [row]
        reached = {row}
        free: int | None = None
        while queue and free is None:
            current = queue.pop(0)
            for column, is_allowed in enumerate(allowed[current]):
                if not is_allowed or column in came:
                    continue
                came[column] = current
                if column not in owner:
                    free = column
                    break
                reached.add(owner[column])
                queue.append(owner[column])
        if free is None:
            return None, reached
        _flip(owner, came, row, free)
    slots = {row: column for column, row in owner.items()}
    return tuple(slots[row] for row in range(len(allowed))), set()


def _flip(owner: dict[int, int], came: dict[int, int], row: int, free: int) -> None:
    column = free
    while True:
        current = came[column]
        before = next((c for c, r in owner.items() if r == current), None)
        owner[column] = current
        if current == row:
            return
        if before is None:  # cannot be: every row on the path but the first has a column
            raise RuntimeError("A path of the matching is broken.")
        column = before


def _longest(left: Sequence[Sequence[int]], most: int) -> tuple[Turn, int]:
    """Find a turn that can be repeated most often: the greatest least entry."""
    for times in sorted(
        {entry for row in left for entry in row if 0 < entry <= most}, reverse=True
    ):
        turn = perfect_matching([[entry >= times for entry in row] for row in left])
        if turn is not None:
            return turn, times
    raise RuntimeError("Counts with equal sums have no turn left; that cannot be.")


def _order(turns: Sequence[Turn], before: Sequence[int | None]) -> list[int]:
    """Order turns from one to the nearest next, then take each to where it costs least."""
    rest = list(range(len(turns)))
    order: list[int] = []
    last: Sequence[int | None] = before
    while rest:
        nearest = min(rest, key=lambda n: (_differences(last, turns[n]), n))
        rest.remove(nearest)
        order.append(nearest)
        last = turns[nearest]
    best = changes([turns[n] for n in order], before)
    improved = True
    while improved:
        improved = False
        for trial in _neighbours(order):
            cost = changes([turns[n] for n in trial], before)
            if cost < best:
                order, best, improved = trial, cost, True
                break
    return order


def _neighbours(order: list[int]) -> list[list[int]]:
    """List the orders with one turn moved or one stretch turned round."""
    found = []
    for a in range(len(order)):
        rest = order[:a] + order[a + 1 :]
        found += [[*rest[:b], order[a], *rest[b:]] for b in range(len(order)) if b != a]
        found += [order[:a] + order[a:b][::-1] + order[b:] for b in range(a + 2, len(order) + 1)]
    return found


def _differences(last: Sequence[int | None], turn: Turn) -> int:
    return sum(old is not None and old != new for old, new in zip(last, turn, strict=True))
