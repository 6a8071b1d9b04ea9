"""What is known of the problem as it was, carried over to the problem as it is now.

A change closes ground and takes asks away, which lets no plan place more. A plan of the new problem
without the asks that are new, read differently or are pinned anew is one of the old problem; so it
has no more points than any had there, and what those asks can have at most.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.sharing.values.points import FIRST_POINTS, SESSION_POINTS

if TYPE_CHECKING:
    from clubplanner.sharing.values.problem import Problem


def most_carried(before: Problem, now: Problem, most: int) -> int:
    """Bound the points of placing sessions in an altered problem.

    Args:
        before: The problem as it was.
        now: The same, altered by `alter` and nothing else.
        most: No plan of the problem as it was has more points.
    """
    known = {ask.key: ask for ask in before.asks}
    tops: dict[str, int] = {}
    for ask in now.asks:
        tops[ask.squad] = max(ask.priority, tops.get(ask.squad, 0))
    for ask in now.asks:
        if ask != known.get(ask.key):  # pinned elsewhere too: not all rules bind a pin
            most += SESSION_POINTS * ask.priority * ask.sessions + FIRST_POINTS * tops[ask.squad]
    return most
