"""Rest: days between a squad's sessions, and none on the eve or the morrow of a match day.

Pinned sessions may lie nearer to each other; nothing is added to them.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from clubplanner.language import _
from clubplanner.sharing.ground.terrain import asks_by_squad, once
from clubplanner.sharing.rules.rule import Rule, Words

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping, Sequence

    from numpy.typing import NDArray

    from clubplanner.sharing.ground.candidates import Candidates
    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.rules.rule import Draft, Mask, Stays
    from clubplanner.sharing.values.problem import Ask

_Node = tuple[int, int]
"""An ask and a day."""


@once
def rest_needed(terrain: Terrain) -> NDArray[np.int64]:
    """Return by two asks how many days must lie between their sessions; the larger counts.

    It is 0 for none, and for the asks of two squads.
    """
    asks = terrain.problem.asks
    rest = np.zeros((len(asks), len(asks)), dtype=np.int64)
    for own in asks_by_squad(terrain).values():
        for a in own:
            for b in own:
                rest[a, b] = max(asks[a].rest_days, asks[b].rest_days)
    return rest


@once
def is_rest_needed(terrain: Terrain) -> bool:
    """Tell whether any ask wants rest between its squad's sessions."""
    return bool(rest_needed(terrain).any())


def eve_or_morrow(terrain: Terrain, ask: Ask, stays: Stays) -> Mask | None:
    """Mark every session of a day before or after one that the ask keeps free."""
    weekday = terrain.problem.days[stays.day].weekday
    if (weekday + 1) % 7 in ask.no_day_before or (weekday - 1) % 7 in ask.no_day_after:
        return np.ones((1, 1), dtype=bool)
    return None


def too_near(terrain: Terrain, rows: Candidates, others: Candidates) -> Mask:
    """Tell which rows are too few days from which others of their squad."""
    if not is_rest_needed(terrain):
        return np.zeros((len(rows), len(others)), dtype=bool)
    rest = rest_needed(terrain)[rows.ask[:, None], others.ask[None, :]]
    apart = terrain.apart[rows.day[:, None], others.day[None, :]]
    return np.asarray((apart <= rest) & (rest > 0))


def barred_days(terrain: Terrain, ask: Ask, plan: Candidates) -> Collection[int]:
    """Return the days too near to a day on which the ask has a session."""
    if not ask.rest_days:
        return frozenset()
    asks = terrain.problem.asks
    own = [day for n, day in zip(plan.ask, plan.day, strict=True) if asks[n].key == ask.key]
    near = (terrain.apart[:, own] <= ask.rest_days).any(axis=1)
    return frozenset(np.flatnonzero(near).tolist()) - frozenset(own)


def rest_in_words(days: int) -> str:
    """Write how much rest an ask wants: "a day of rest"."""
    if days == 1:
        return _("a day of rest")
    return _("%(rest_days)s days of rest", rest_days=days)


def add_rows(draft: Draft) -> None:
    """Keep sessions of a squad as many days apart as its asks say."""
    terrain, slots = draft.terrain, draft.slots
    if not is_rest_needed(terrain):
        return
    needed = rest_needed(terrain)
    by_node: dict[_Node, list[int]] = {}
    for slot, node in enumerate(zip(slots.ask.tolist(), slots.day.tolist(), strict=True)):
        by_node.setdefault(node, []).append(slot)
    for asks in asks_by_squad(terrain).values():
        if not needed[np.ix_(asks, asks)].any():
            continue
        nodes = sorted(node for node in by_node if node[0] in asks)
        near = {
            node: {other for other in nodes if other != node and _is_near(terrain, node, other)}
            for node in nodes
        }
        for clique in cover_by_cliques(near):
            _add_clique(draft, [by_node[node] for node in clique])


def cover_by_cliques(near: Mapping[_Node, set[_Node]]) -> list[tuple[_Node, ...]]:
    """Find sets in which every two are near each other, so that each near two are in one."""
    covered: set[tuple[_Node, _Node]] = set()
    found: list[tuple[_Node, ...]] = []
    for first in sorted(near):
        for second in sorted(near[first]):
            if second < first or (first, second) in covered:
                continue
            clique = [first, second]
            for node in sorted(near):
                if node not in clique and all(node in near[other] for other in clique):
                    clique.append(node)
            clique.sort()
            covered |= {(a, b) for a in clique for b in clique if a < b}
            found.append(tuple(clique))
    return found


def _is_near(terrain: Terrain, one: _Node, other: _Node) -> bool:
    rest = rest_needed(terrain)[one[0], other[0]]
    return bool(rest > 0 and terrain.apart[one[1], other[1]] <= rest)


def _add_clique(draft: Draft, groups: Sequence[Sequence[int]]) -> None:
    members = [slot for group in groups for slot in group]
    pinned = [slot for slot in members if draft.slots.is_pinned[slot]]
    if len(pinned) > 1:
        for slot in members:
            if slot not in pinned:
                draft.model.add(draft.chosen[slot] == 0)
    else:
        draft.model.add_at_most_one(draft.chosen[slot] for slot in members)


RULE = Rule(
    code="rest",
    is_of_people=True,
    on_ask=eve_or_morrow,
    clash=too_near,
    barred_days=barred_days,
    add_rows=add_rows,
    words=Words(
        wanted=lambda _said: _("is not on the eve or the morrow of a day kept free"),
        but_for=lambda _said: _("the rest around match days"),
    ),
    why_not=lambda said: _(
        "there must be %(rest)s between it and another session", rest=rest_in_words(said.count)
    ),
    says=lambda _terrain, ask, _pitches: {"count": ask.rest_days},
)
