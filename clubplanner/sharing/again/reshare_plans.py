"""Plans of a re-share: the one to begin with, and placements out of chosen rows."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from clubplanner.sharing.places.displacement import by_ask, match_sessions
from clubplanner.sharing.places.first_plan import fill_plan
from clubplanner.sharing.places.placements import placement_of
from clubplanner.sharing.rules.book import ground_clashes, people_clashes, too_many

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.sharing.again.reshare_places import Places
    from clubplanner.sharing.values.problem import Placement


def first_plan(places: Places) -> list[int]:
    """Keep the standing places that can stay together, and fill up."""
    terrain, rows = places.terrain, places.rows
    asks = terrain.problem.asks
    kept = np.flatnonzero(rows.session >= 0).tolist()
    counts = np.bincount(rows.ask[kept], minlength=len(asks))
    for row in places.kept:
        if row is None or row in kept or counts[rows.ask[row]] >= asks[rows.ask[row]].sessions:
            continue
        one, others = rows.take(np.array([row])), rows.take(np.array(kept, dtype=np.int64))
        clash = ground_clashes(terrain, one, others) | people_clashes(terrain, one, others)
        if not clash.any() and not too_many(terrain, one, others).any():
            kept.append(row)
            counts[rows.ask[row]] += 1
    return sorted(fill_plan(terrain, rows, kept).tolist())


def placements_of(places: Places, plan: Sequence[int]) -> tuple[Placement, ...]:
    """Turn rows into placements; a session keeps its number where it moves the shortest way."""
    terrain, rows = places.terrain, places.rows
    problem = terrain.problem
    found: list[Placement] = []
    olds, by_number = by_ask(places.standing), _by_number(places, plan)
    for number, ask in enumerate(problem.asks):
        own = by_number.get(number, [])
        pinned = {row: int(rows.session[row]) for row in own if rows.session[row] >= 0}
        numbers = dict(pinned)
        free = [placement_of(terrain, rows, row, row) for row in own if row not in pinned]
        old = [item for item in olds.get(ask.key, []) if item.session not in pinned.values()]
        for before, after in match_sessions(problem, old, free):
            if after is not None and before.session < ask.sessions:
                numbers[after.session] = before.session
        for row in own:
            if row not in numbers:
                numbers[row] = min(set(range(ask.sessions)) - set(numbers.values()))
        found += [placement_of(terrain, rows, row, numbers[row]) for row in own]
    order = {ground.key: n for n, ground in enumerate(problem.grounds)}
    return tuple(sorted(found, key=lambda item: (item.day, item.start_min, order[item.ground])))


def _by_number(places: Places, plan: Sequence[int]) -> dict[int, list[int]]:
    found: dict[int, list[int]] = {}
    for row in plan:
        found.setdefault(int(places.rows.ask[row]), []).append(row)
    return found
