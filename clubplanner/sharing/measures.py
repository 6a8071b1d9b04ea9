"""The three aims of a share-out, computed from a plan without the model."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.sharing.outcome import Satisfaction
from clubplanner.sharing.scoring import FIRST_POINTS, FLOOR_POINTS, SESSION_POINTS, THRESHOLDS

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from clubplanner.sharing.problem import Problem


def placing_points(problem: Problem, placed: Sequence[int]) -> int:
    """Count sessions by priority, a squad's first above its others.

    Args:
        problem: The problem.
        placed: Number of sessions placed, by ask.
    """
    total = sum(
        SESSION_POINTS * ask.priority * count
        for ask, count in zip(problem.asks, placed, strict=True)
    )
    top: dict[str, int] = {}
    served: set[str] = set()
    for ask, count in zip(problem.asks, placed, strict=True):
        top[ask.squad] = max(ask.priority, top.get(ask.squad, 0))
        if count:
            served.add(ask.squad)
    return total + FIRST_POINTS * sum(top[squad] for squad in served)


def shortfall_points(satisfactions: Sequence[Satisfaction]) -> int:
    """Measure unfairness: percent points under the thresholds, and what the worst-off lacks.

    A squad counts with 2 for each percent point under 60 and 1 for each under 80, rounded up; the
    worst-off squad's percentage, rounded down, counts with 5 for each point it is short of 100.
    Squads that could have nothing by themselves are left out.
    """
    measured = [item for item in satisfactions if item.best_alone > 0]
    floor = min((item.percent for item in measured), default=100)
    total = FLOOR_POINTS * (100 - floor)
    for item in measured:
        for percent, weight in THRESHOLDS:
            short = percent * item.best_alone - 100 * item.score
            total += weight * max(0, -(-short // item.best_alone))
    return total


def satisfactions_of(
    problem: Problem, scores: Sequence[int], best: Sequence[int]
) -> tuple[Satisfaction, ...]:
    """Measure how well each squad is served.

    Args:
        problem: The problem.
        scores: Wish points of the plan, by ask.
        best: What each ask could have alone, by ask.
    """
    names: dict[str, str] = {}
    score: dict[str, int] = {}
    alone: dict[str, int] = {}
    for ask, own, most in zip(problem.asks, scores, best, strict=True):
        names.setdefault(ask.squad, ask.squad_name)
        score[ask.squad] = score.get(ask.squad, 0) + int(own)
        alone[ask.squad] = alone.get(ask.squad, 0) + int(most)
    return tuple(
        Satisfaction(
            squad,
            name,
            score[squad],
            alone[squad],
            100 * score[squad] // alone[squad] if alone[squad] else 100,
        )
        for squad, name in names.items()
    )


def percent_by_squad(satisfactions: Sequence[Satisfaction]) -> Mapping[str, int]:
    """Return each squad's percentage by its key."""
    return {item.squad: item.percent for item in satisfactions}
