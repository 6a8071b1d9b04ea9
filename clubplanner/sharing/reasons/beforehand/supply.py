"""How much training is asked for, and for about how much of it there is ground in those hours.

A flow, not a plan: training runs like water from the asks into the hours in which they could have
ground, each ask as little of it as would do. Nobody has a place by that; but what no flow holds, no
plan does. Asks for the same are one spring, hours that are open to the same asks one basin.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from ortools.graph.python import max_flow

from clubplanner.sharing.reasons.alone import look_alone
from clubplanner.sharing.values.foreseen import ShortSpell, Supply
from clubplanner.sharing.values.problem import merge_ranges

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.places.placements import Known
    from clubplanner.sharing.values.problem import Ask

CELL_MIN = 15
CELLS = 24 * 60 // CELL_MIN
"""The day in quarters of an hour; what begins or ends within one counts for all of it."""
PITCH = 5040
"""A whole pitch; halves, thirds, quarters and many others are whole parts of it."""
MOST_SPRINGS = 300
"""With more of them it would take too long to look."""


@dataclass(frozen=True, slots=True)
class _Spring:
    """All asks that could be in the same hours, in minutes times the share of a pitch.

    Attributes:
        comes: What they ask for.
        a_day: The most of it that can be on one day: each ask has one session then.
        reach: By day, pitch and cell whether it could be there.
    """

    comes: int
    a_day: int
    reach: NDArray[np.bool_]


def weigh_supply(terrain: Terrain, known: Known) -> Supply:
    """Weigh what is asked for against the ground that there is.

    Args:
        terrain: The problem's columns.
        known: What was seen of ground before; see `look_alone`.
    """
    asks = terrain.problem.asks
    alike: dict[Ask, list[Ask]] = defaultdict(list)
    for ask in asks:
        alike[shape_of(ask)].append(ask)
    asked = hopeful = 0
    springs: dict[bytes, _Spring] = {}
    for same in alike.values():
        minutes = sum(ask.sessions * ask.minutes for ask in same)
        asked += minutes
        share, reach = _reach(terrain, same[0], known)
        if not share:
            continue
        hopeful += minutes
        a_day = sum(ask.minutes for ask in same)
        before = springs.get(reach.tobytes(), _Spring(0, 0, reach))
        springs[reach.tobytes()] = _Spring(
            before.comes + minutes * share, before.a_day + a_day * share, reach
        )
    sessions = sum(ask.sessions for ask in asks)
    if not springs:
        return Supply(sessions, asked, 0, ())
    if len(springs) > MOST_SPRINGS:
        return Supply(sessions, asked, None, ())
    held, short = _flow(tuple(springs.values()))
    return Supply(sessions, asked, round(held * hopeful), short)


def shape_of(ask: Ask) -> Ask:
    """Return an ask without whose it is and what it likes: equal for all that ask for the same."""
    return replace(
        ask, key="", squad="", squad_name="", coach=None, pinned=(), preferred=(), wishes=(),
        past=0, priority=1, sessions=1, rest_days=0, most_in_a_row=None,
    )  # fmt: skip


def _reach(terrain: Terrain, ask: Ask, known: Known) -> tuple[int, NDArray[np.bool_]]:
    """Tell the least share of a pitch that would do, and by day, pitch and cell where.

    The share is 0 where no ground does.
    """
    order = np.argsort(terrain.pitch, kind="stable")
    firsts = np.searchsorted(terrain.pitch[order], np.arange(len(terrain.pitches)))
    reach = np.zeros((len(terrain.problem.days), len(terrain.pitches), CELLS), dtype=bool)
    does = np.zeros(len(terrain.problem.grounds), dtype=bool)
    for day in look_alone(terrain, ask, known).days:
        free = day.broken == 0
        does |= free.any(axis=1)
        by_pitch = np.logical_or.reduceat(free[order], firsts, axis=0)
        for column, start in enumerate(day.stays.starts.tolist()):
            cells = slice(start // CELL_MIN, -(-(start + ask.minutes) // CELL_MIN))
            reach[day.stays.day, :, cells] |= by_pitch[:, column, None]
    return int(terrain.share_of_pitch[does].min() * PITCH) if does.any() else 0, reach


def _flow(springs: Sequence[_Spring]) -> tuple[float, tuple[ShortSpell, ...]]:
    """Let it flow; return which part of it is held, and when the ground is full."""
    days, pitches, _unused = springs[0].reach.shape
    reach = np.stack([spring.reach for spring in springs]).reshape(len(springs), -1)
    where = np.flatnonzero(reach.any(axis=0))
    day, _pitch, cell = np.unravel_index(where, (days, pitches, CELLS))
    basins, which = np.unique(np.vstack([day, reach[:, where]]), axis=1, return_inverse=True)
    which = which.reshape(-1)
    room = np.zeros(basins.shape[1], dtype=np.int64)
    np.add.at(room, which, PITCH * CELL_MIN)
    held, full = _solve(springs, basins, room)
    spells: dict[int, list[tuple[int, int]]] = defaultdict(list)
    for number in np.flatnonzero(full[which]).tolist():
        start = int(cell[number]) * CELL_MIN
        spells[int(day[number])].append((start, start + CELL_MIN))
    return held, tuple(
        ShortSpell(on, start, end)
        for on in sorted(spells)
        for start, end in merge_ranges(spells[on])
    )


def _solve(
    springs: Sequence[_Spring], basins: NDArray[np.int64], room: NDArray[np.int64]
) -> tuple[float, NDArray[np.bool_]]:
    """Find the greatest flow.

    Args:
        springs: What flows.
        basins: A column each: its day, then for each spring whether it reaches it.
        room: What each basin holds, minutes times the share of a pitch.

    Returns:
        Which part of all that flows is held, and which basins are full while more would come.
    """
    flow = max_flow.SimpleMaxFlow()
    days = int(basins[0].max()) + 1
    source, sink = 0, 1
    first_spring, first_day = 2, 2 + len(springs)
    first_basin = first_day + len(springs) * days
    comes = sum(spring.comes for spring in springs)
    for which, spring in enumerate(springs):
        flow.add_arc_with_capacity(source, first_spring + which, spring.comes)
        for day in range(days):
            here = first_day + which * days + day
            flow.add_arc_with_capacity(first_spring + which, here, spring.a_day)
    rows, columns = np.nonzero(basins[1:])
    flow.add_arcs_with_capacity(
        first_day + rows * days + basins[0][columns],
        first_basin + columns,
        np.full(len(rows), comes, dtype=np.int64),
    )
    numbers = np.arange(len(room), dtype=np.int64)
    flow.add_arcs_with_capacity(first_basin + numbers, np.full(len(room), sink), room)
    if flow.solve(source, sink) != flow.OPTIMAL:
        raise RuntimeError("the flow of a finite network has a greatest value")
    full = np.zeros(len(room), dtype=bool)
    reached = np.array(flow.get_source_side_min_cut()) - first_basin
    full[reached[reached >= 0]] = True
    return flow.optimal_flow() / comes, full
