"""How large a problem is, before anything is looked at: plain arithmetic."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from clubplanner.sharing.values.problem import Problem


def most_places(problem: Problem) -> int:
    """Count the places that there are at most, by plain arithmetic: starts times grounds."""
    at_venue: dict[str, int] = {}
    for ground in problem.grounds:
        at_venue[ground.venue] = at_venue.get(ground.venue, 0) + 1
    total = 0
    for ask in problem.asks:
        grounds = sum(at_venue.get(v, 0) for v in ask.venues or at_venue)
        lengths = (w.end_min - w.start_min - ask.minutes for w in ask.possible)
        starts = sum(2 + length // problem.step_minutes for length in lengths if length >= 0)
        total += grounds * starts
    return total
