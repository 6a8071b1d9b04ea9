"""Placements and rows turned into each other."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from clubplanner.sharing.ground.candidates import Candidates, join
from clubplanner.sharing.ground.terrain import ground_numbers
from clubplanner.sharing.rules.book import look_at
from clubplanner.sharing.rules.ground.held_ground import dates_lost
from clubplanner.sharing.values.problem import Placement
from clubplanner.sharing.wishes.book import place_points
from clubplanner.sharing.wishes.close_ground import ground_points

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import date

    from numpy.typing import NDArray

    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.rules.rule import Stays
    from clubplanner.sharing.values.problem import Ask

Known = dict[tuple[int, int, bytes], "tuple[Stays, NDArray[np.int64]]"]
"""What `look_at` gave, by length, day and starts."""


def lost_dates(terrain: Terrain, day: int, lost: int) -> tuple[date, ...]:
    """Read a bit mask of lost dates."""
    if not lost:
        return ()
    dates = terrain.problem.days[day].dates
    return tuple(when for place, when in enumerate(dates) if lost >> place & 1)


def placement_of(
    terrain: Terrain, rows: Candidates, row: int, session: int, ground: int | None = None
) -> Placement:
    """Turn a row into a placement.

    Args:
        terrain: The problem's columns.
        rows: The candidates.
        row: Which of them.
        session: Number of the session.
        ground: Another ground than the row's own, with the same dates lost; None for its own.
    """
    day = int(rows.day[row])
    where = int(rows.ground[row]) if ground is None else ground
    return Placement(
        ask=terrain.problem.asks[int(rows.ask[row])].key,
        session=session,
        ground=terrain.problem.grounds[where].key,
        day=day,
        start_min=int(rows.start[row]),
        end_min=int(rows.end[row]),
        lost_dates=lost_dates(terrain, day, int(rows.lost[row])),
    )


def placements_of_rows(
    terrain: Terrain, candidates: Candidates, rows: Iterable[int]
) -> tuple[Placement, ...]:
    """Turn the rows of a plan into placements, sessions numbered by day, pinned as they were."""
    order = sorted(
        rows,
        key=lambda row: (
            int(candidates.day[row]),
            int(candidates.start[row]),
            int(candidates.ground[row]),
        ),
    )
    taken: dict[int, set[int]] = {}
    for row in order:
        if candidates.session[row] >= 0:
            taken.setdefault(int(candidates.ask[row]), set()).add(int(candidates.session[row]))
    found = []
    for row in order:
        session = int(candidates.session[row])
        if session < 0:
            used = taken.setdefault(int(candidates.ask[row]), set())
            session = next(n for n in range(len(used) + 1) if n not in used)
            used.add(session)
        found.append(placement_of(terrain, candidates, row, session))
    return tuple(found)


def rows_of_placements(
    terrain: Terrain, placements: Iterable[Placement], known: Known | None = None
) -> Candidates:
    """Turn placements back into rows, scored; the session column keeps their numbers.

    Args:
        terrain: The problem's columns.
        placements: The placements.
        known: What `look_at` gave for others; gets what it gives for these.
    """
    asks = {ask.key: n for n, ask in enumerate(terrain.problem.asks)}
    known = {} if known is None else known
    return join(
        row_of(terrain, terrain.problem.asks[asks[item.ask]], asks[item.ask], item, known)
        for item in placements
    )


def with_lost_dates(terrain: Terrain, placements: Sequence[Placement]) -> tuple[Placement, ...]:
    """Return placements with the dates that standing bookings now take from them."""
    minutes = {ask.key: ask.minutes for ask in terrain.problem.asks}
    grounds, known = ground_numbers(terrain), dict[tuple[int, int, int], "NDArray[np.uint64]"]()
    found = []
    for item in placements:
        key = item.day, item.start_min, minutes[item.ask]
        if key not in known:  # many are at the same time, and none is scored
            start = np.array([item.start_min], dtype=np.int64)
            known[key] = dates_lost(terrain, item.day, start, start + minutes[item.ask])[:, 0]
        lost = lost_dates(terrain, item.day, int(known[key][grounds[item.ground]]))
        found.append(item if item.lost_dates == lost else replace(item, lost_dates=lost))
    return tuple(found)


def row_of(terrain: Terrain, ask: Ask, number: int, item: Placement, known: Known) -> Candidates:
    """Turn one placement into its row, scored, whatever rules it breaks.

    Args:
        terrain: The problem's columns.
        ask: Whose it is.
        number: Which of the problem's asks.
        item: The placement.
        known: What `look_at` gave for other placements; gets what it gives for this one.
    """
    ground = ground_numbers(terrain)[item.ground]
    start = np.array([item.start_min], dtype=np.int64)
    key = ask.minutes, item.day, start.tobytes()
    if key not in known:
        known[key] = look_at(terrain, ask.minutes, item.day, start)
    stays, _broken = known[key]
    score = place_points(terrain, ask, ground_points(terrain, ask), stays)
    return Candidates(
        ask=np.array([number], dtype=np.int64),
        ground=np.array([ground], dtype=np.int64),
        day=np.array([item.day], dtype=np.int64),
        start=stays.starts,
        end=stays.ends,
        score=score[ground],
        lost=stays.lost[ground],
        session=np.array([item.session], dtype=np.int64),
    )
