"""Every place and time that passes the static rules, as flat columns.

Places that cannot do any good are left out: where a smaller ground lies wholly within a larger one
and serves as well, the larger one takes ground from others for nothing.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from clubplanner.sharing.ground.scoring import (
    PLACED_POINTS,
    ground_points,
    lost_points,
    time_points,
    wish_points,
)
from clubplanner.sharing.ground.terrain import ground_rules, own_rules, place_rules, possible_starts
from clubplanner.sharing.values.problem import Placement

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import date

    from numpy.typing import NDArray

    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.values.problem import Ask


_Known = dict[tuple[int, int, bytes], "tuple[NDArray[np.int64], NDArray[np.uint64]]"]


@dataclass(frozen=True, slots=True)
class Candidates:
    """Places for sessions, one a row.

    Attributes:
        ask: Number of the ask.
        ground: Number of the ground.
        day: Index of the day.
        start: First minute.
        end: Minute after the last.
        score: Wish points.
        lost: Dates lost, a bit mask over the day's list of dates.
        session: The session's number where the row is pinned, -1 elsewhere.
    """

    ask: NDArray[np.int64]
    ground: NDArray[np.int64]
    day: NDArray[np.int64]
    start: NDArray[np.int64]
    end: NDArray[np.int64]
    score: NDArray[np.int64]
    lost: NDArray[np.uint64]
    session: NDArray[np.int64]

    def __len__(self) -> int:
        """Count the rows."""
        return len(self.ask)

    def take(self, rows: NDArray[np.int64] | NDArray[np.bool_]) -> Candidates:
        """Return the chosen rows."""
        return Candidates(
            self.ask[rows],
            self.ground[rows],
            self.day[rows],
            self.start[rows],
            self.end[rows],
            self.score[rows],
            self.lost[rows],
            self.session[rows],
        )


def list_candidates(terrain: Terrain, *, keep_all: bool = False) -> Candidates:
    """List the candidates of all asks.

    Args:
        terrain: The problem's columns.
        keep_all: Whether to keep the larger grounds that a smaller one within makes needless.

    Returns:
        Rows in order of ask, day, ground and start; the pinned ones of an ask after its others.
    """
    parts: list[Candidates] = []
    known: _Known = {}
    for number, ask in enumerate(terrain.problem.asks):
        parts.append(ask_candidates(terrain, ask, number, keep_all=keep_all, known=known))
        parts.append(_pinned(terrain, ask, number))
    return join(parts)


def ask_candidates(
    terrain: Terrain,
    ask: Ask,
    number: int,
    *,
    keep_all: bool = False,
    known: _Known | None = None,
) -> Candidates:
    """List the candidates of one ask that are not pinned; the ask need not be the problem's own.

    Args:
        terrain: The problem's columns.
        ask: The ask.
        number: Which of the problem's asks it stands for.
        keep_all: Whether to keep needlessly large grounds.
        known: What `place_rules` gave for other asks; gets what it gives for this one.
    """
    known = {} if known is None else known
    barred = ground_rules(terrain, ask)
    close = ground_points(terrain, ask)
    parts: list[Candidates] = []
    for day in terrain.problem.days:
        starts, dates = possible_starts(terrain.problem, ask, day.index), len(day.dates)
        if not len(starts):
            continue
        key = ask.minutes, day.index, starts.tobytes()
        if key not in known:
            known[key] = place_rules(terrain, ask.minutes, day.index, starts)
        places, lost = known[key]
        bits = places | own_rules(terrain, ask, day.index, starts, lost)
        free = (bits | barred[:, None]) == 0
        score = PLACED_POINTS + close[:, None] + time_points(ask, day.index, starts)[None, :]
        score = score + wish_points(terrain, ask, day.index, starts) - lost_points(lost, dates)
        if not keep_all:
            free &= ~_needless(terrain, free, score)
        ground, place = np.nonzero(free)
        parts.append(
            Candidates(
                ask=np.full(len(ground), number, dtype=np.int64),
                ground=ground.astype(np.int64),
                day=np.full(len(ground), day.index, dtype=np.int64),
                start=starts[place],
                end=starts[place] + ask.minutes,
                score=score[ground, place],
                lost=lost[ground, place],
                session=np.full(len(ground), -1, dtype=np.int64),
            )
        )
    return join(parts)


def join(parts: Iterable[Candidates]) -> Candidates:
    """Put candidates one after the other."""
    known = list(parts)

    def column(name: str) -> NDArray[np.int64]:
        return np.concatenate([np.empty(0, np.int64), *(getattr(part, name) for part in known)])

    lost = np.concatenate([np.empty(0, np.uint64), *(part.lost for part in known)])
    return Candidates(
        column("ask"),
        column("ground"),
        column("day"),
        column("start"),
        column("end"),
        column("score"),
        lost,
        column("session"),
    )


def best_alone(terrain: Terrain, candidates: Candidates) -> NDArray[np.int64]:
    """Compute for each ask the wish points it could have with the whole club to itself.

    The best of each day, then the best days that leave enough rest between them: exact for an ask
    by itself but for load limits, which are not looked at for its sessions together. For a squad
    with several asks the sum is an upper bound, for its asks may want the same hour.
    """
    problem = terrain.problem
    best = np.zeros((len(problem.asks), max(1, len(problem.days))), dtype=np.int64)
    np.maximum.at(best, (candidates.ask, candidates.day), candidates.score)
    return np.array(
        [
            best_days(best[n], ask.sessions, terrain.apart, ask.rest_days)
            for n, ask in enumerate(problem.asks)
        ],
        dtype=np.int64,
    )


def best_days(
    worth: NDArray[np.int64], sessions: int, apart: NDArray[np.int64], rest_days: int
) -> int:
    """Add up the best days with enough rest between them.

    Args:
        worth: What each day is worth; 0 for one that cannot be had.
        sessions: How many days at most.
        apart: From `Terrain`.
        rest_days: Days that must lie between two.
    """
    if rest_days == 0 or sessions == 1:
        return int(np.sort(worth)[::-1][:sessions].sum())
    order = [int(day) for day in np.argsort(-worth, kind="stable") if worth[day] > 0]
    best = 0
    stack: list[tuple[int, int, tuple[int, ...]]] = [(0, 0, ())]
    while stack:
        place, total, days = stack.pop()
        best = max(best, total)
        left = sessions - len(days)
        more = sum(int(worth[day]) for day in order[place : place + left])
        if left == 0 or place == len(order) or total + more <= best:
            continue
        day = order[place]
        stack.append((place + 1, total, days))
        if all(apart[day, other] > rest_days for other in days):
            stack.append((place + 1, total + int(worth[day]), (*days, day)))
    return best


def lost_dates(terrain: Terrain, day: int, lost: int) -> tuple[date, ...]:
    """Read a bit mask of lost dates."""
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


def rows_of_placements(terrain: Terrain, placements: Iterable[Placement]) -> Candidates:
    """Turn placements back into rows, scored; the session column keeps their numbers."""
    asks = {ask.key: n for n, ask in enumerate(terrain.problem.asks)}
    known: _Known = {}
    return join(
        _one_row(terrain, terrain.problem.asks[asks[item.ask]], asks[item.ask], item, known)
        for item in placements
    )


def with_lost_dates(terrain: Terrain, placements: Sequence[Placement]) -> tuple[Placement, ...]:
    """Return placements with the dates that standing bookings now take from them."""
    rows = rows_of_placements(terrain, placements)
    return tuple(
        replace(item, lost_dates=lost_dates(terrain, item.day, int(rows.lost[row])))
        for row, item in enumerate(placements)
    )


def _pinned(terrain: Terrain, ask: Ask, number: int) -> Candidates:
    return join(_one_row(terrain, ask, number, pin, {}) for pin in ask.pinned)


def _one_row(terrain: Terrain, ask: Ask, number: int, item: Placement, known: _Known) -> Candidates:
    ground = next(n for n, one in enumerate(terrain.problem.grounds) if one.key == item.ground)
    start = np.array([item.start_min], dtype=np.int64)
    key = ask.minutes, item.day, start.tobytes()
    if key not in known:
        known[key] = place_rules(terrain, ask.minutes, item.day, start)
    lost = known[key][1]
    dates = len(terrain.problem.days[item.day].dates)
    score = PLACED_POINTS + ground_points(terrain, ask)[ground] + time_points(ask, item.day, start)
    score = score + wish_points(terrain, ask, item.day, start)[ground]
    return Candidates(
        ask=np.array([number], dtype=np.int64),
        ground=np.array([ground], dtype=np.int64),
        day=np.array([item.day], dtype=np.int64),
        start=start,
        end=start + ask.minutes,
        score=score - lost_points(lost[ground], dates),
        lost=lost[ground],
        session=np.array([item.session], dtype=np.int64),
    )


def _needless(
    terrain: Terrain, free: NDArray[np.bool_], score: NDArray[np.int64]
) -> NDArray[np.bool_]:
    """Mark places that another one within them makes needless."""
    needless = np.zeros_like(free)
    cells = terrain.cells
    usable: NDArray[np.bool_] = np.any(free, axis=1)
    small, big = terrain.nested[usable[terrain.nested].all(axis=1)].T
    first = (cells[small] != cells[big]) | (small < big)
    better = score[small] > score[big]
    better |= first[:, None] & (score[small] == score[big])
    np.logical_or.at(needless, big, free[small] & better)
    return needless
