"""Measures of how well each is served, and of how evenly something is shared.

Who asked and had nothing is served nought; who asked for nothing is not measured; where nobody had
anything nothing is even or uneven yet. All that shows or compares shares asks here.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence


def part_served(had: float, wanted: float) -> float | None:
    """Return had over wanted, from 0, above 1 for more; None for who wanted nothing."""
    return had / wanted if wanted > 0 else None


def percent_served(points: int, best: int) -> int:
    """Return in percent, rounded down, what somebody who asked has of the best it could have.

    Args:
        points: What it has, 0 or more.
        best: The best it could have by itself; 0 where there is no place for it at all.

    Returns:
        0 or more. Where by the rules it could have nothing: 100 for who was put somewhere against
        them, 0 for who goes without.
    """
    if best == 0:
        return 100 if points else 0
    return 100 * points // best


def jain_index(shares: Sequence[float]) -> float | None:
    """Return Jain's index of fairness: 1 when all have the same, k/n when k of n have it all.

    R. Jain, D. Chiu and W. Hawe, A Quantitative Measure of Fairness, DEC-TR-301, 1984.

    Args:
        shares: What each has, 0 or more.

    Returns:
        From 1/n to 1; None for nobody or nothing, of which it says nothing.
    """
    most = max(shares, default=0.0)
    if most == 0:
        return None
    parts = [share / most for share in shares]  # else the square of very little is nothing
    return sum(parts) ** 2 / (len(parts) * sum(part * part for part in parts))


def gini_coefficient(shares: Sequence[float]) -> float | None:
    """Return the Gini coefficient of a whole population: 0 when all have the same.

    Half the mean difference of all pairs, over the mean.

    Args:
        shares: What each has, 0 or more.

    Returns:
        From 0 to 1 - 1/n; None for nobody or nothing, of which it says nothing.
    """
    total = sum(shares)
    if total == 0:
        return None
    count = len(shares)
    ranked = sum((2 * n - count - 1) * share for n, share in enumerate(sorted(shares), start=1))
    return ranked / (count * total)


def max_min_shares(capacity: float, demands: Sequence[float]) -> tuple[float, ...]:
    """Share a capacity out so that nobody can have more without somebody worse off having less.

    S. Keshav, An Engineering Approach to Computer Networking, 1997, pp. 215-217.

    Args:
        capacity: What there is.
        demands: What each wants.

    Returns:
        What each gets, in the same order, never more than wanted.
    """
    shares = [0.0] * len(demands)
    left = capacity
    order = sorted(range(len(demands)), key=lambda n: demands[n])
    for place, n in enumerate(order):
        shares[n] = min(demands[n], left / (len(order) - place))
        left -= shares[n]
    return tuple(shares)


@dataclass(frozen=True, slots=True)
class Stint:
    """Training of a squad on some ground.

    Attributes:
        squad: The squad's key.
        hours: How long.
        m2_per_player: Ground for each player.
    """

    squad: str
    hours: float
    m2_per_player: float


@dataclass(frozen=True, slots=True)
class GroundShare:
    """Which part of a squad's hours was on good, middling and bad ground; together 1, or all 0."""

    good: float
    middling: float
    bad: float


def share_ground(stints: Sequence[Stint]) -> dict[str, GroundShare]:
    """Say which part of its hours each squad had good and bad ground.

    Ground is good when its square metres a player are among the best third of all hours trained,
    bad when among the worst third. Were ground shared evenly, everybody had a third of each.

    Args:
        stints: All training so far, with the hours of each.

    Returns:
        By squad; squads without an hour are left out.
    """
    total = sum(stint.hours for stint in stints)
    parts: dict[str, list[float]] = {}
    done = 0.0
    for stint in sorted(stints, key=lambda s: (s.m2_per_player, s.squad)):
        if stint.hours <= 0:
            continue
        parts.setdefault(stint.squad, [0.0, 0.0, 0.0])
        start, end = 3 * done / total, 3 * (done + stint.hours) / total
        for third in range(3):  # a stint may lie across the edge of a third
            within = max(0.0, min(end, third + 1) - max(start, third))
            parts[stint.squad][third] += within * total / 3
        done += stint.hours
    return {
        squad: GroundShare(good / sum(row), middling / sum(row), bad / sum(row))
        for squad, row in parts.items()
        for bad, middling, good in [row]
    }


def balances(percents: Mapping[str, float]) -> dict[str, float]:
    """Return by how many points each squad lies above the mean of all, negative for below."""
    if not percents:
        return {}
    mean = sum(percents.values()) / len(percents)
    return {squad: percent - mean for squad, percent in percents.items()}
