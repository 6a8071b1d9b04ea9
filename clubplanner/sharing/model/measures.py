"""The first aims of a share-out, computed from a plan without the model."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.domain.club.fair import percent_served
from clubplanner.sharing.values.outcome import Satisfaction
from clubplanner.sharing.values.points import FIRST_POINTS, SESSION_POINTS, THRESHOLDS

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from clubplanner.sharing.values.problem import Problem


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


def most_attained(problem: Problem, placed: Sequence[int], bound: int) -> int:
    """Return the most points in placing, up to a bound, that any numbers of sessions come to.

    Where 516 would be everything and a session counts 5, no plan has 512 to 515. Which numbers can
    go together is not looked at.

    Args:
        problem: The problem.
        placed: Number of sessions that are placed at most, by ask.
        bound: A number of points, not negative.
    """
    own: dict[str, int] = {}
    top: dict[str, int] = {}
    for ask, most in zip(problem.asks, placed, strict=True):
        top[ask.squad] = max(ask.priority, top.get(ask.squad, 0))
        sums = own.get(ask.squad, 1)  # bit n: the squad's sessions can count n
        for _ in range(most):
            sums |= sums << SESSION_POINTS * ask.priority
        own[ask.squad] = sums
    total = 1
    for squad, sums in own.items():
        added = total
        for points in _bits(sums):
            if points:
                added |= total << points + FIRST_POINTS * top[squad]
        total = added
    return (total & ((1 << bound + 1) - 1)).bit_length() - 1


def _bits(mask: int) -> Iterator[int]:
    return (n for n in range(mask.bit_length()) if mask >> n & 1)


def worst_percent(satisfactions: Sequence[Satisfaction]) -> int:
    """Return the percentage of the worst-off squad, its past counted in; 100 at most.

    Squads that could have nothing by themselves are left out.
    """
    measured = [item.percent + item.past for item in satisfactions if item.best_alone > 0]
    return min([100, *measured])


def shortfall_points(satisfactions: Sequence[Satisfaction]) -> int:
    """Measure unfairness: percent points under the thresholds.

    A squad counts with 2 for each percent point under 60 and 1 for each under 80, rounded up, its
    past counted in. Squads that could have nothing by themselves are left out.
    """
    total = 0
    for item in satisfactions:
        for percent, weight in THRESHOLDS:
            if item.best_alone > 0:
                short = (percent - item.past) * item.best_alone - 100 * item.score
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
    past: dict[str, int] = {}
    for ask, own, most in zip(problem.asks, scores, best, strict=True):
        names.setdefault(ask.squad, ask.squad_name)
        past.setdefault(ask.squad, ask.past)
        score[ask.squad] = score.get(ask.squad, 0) + int(own)
        alone[ask.squad] = alone.get(ask.squad, 0) + int(most)
    return tuple(
        Satisfaction(
            squad,
            name,
            score[squad],
            alone[squad],
            percent_served(score[squad], alone[squad]),
            past[squad],
        )
        for squad, name in names.items()
    )


def percent_by_squad(satisfactions: Sequence[Satisfaction]) -> Mapping[str, int]:
    """Return each squad's percentage by its key."""
    return {item.squad: item.percent for item in satisfactions}
